import { durationText } from './shop-time.ts'

/** `heard 3 s ago`; a reading that is stamped a little ahead was heard just now. */
export function heardAgo(atMs: number | null, nowMs: number): string {
  if (atMs === null) return 'never heard'
  const ageMs = nowMs - atMs
  return ageMs < 1000 ? 'heard just now' : `heard ${durationText(ageMs)} ago`
}
