import type { Reading } from '../model/input.ts'
import type { SubjectContext } from './tracker.ts'

/** The newest value of each sensor of one quantity, in order of sensor id. Survives JSON. */
export type Latest = { sensorId: string; atMs: number; value: number }[]

export function noteLatest(latest: Latest, { sensorId, atMs, value }: Reading): void {
  const known = latest.find((l) => l.sensorId === sensorId)
  if (known) {
    known.atMs = atMs
    known.value = value
  } else {
    latest.push({ sensorId, atMs, value })
    latest.sort((a, b) => (a.sensorId < b.sensorId ? -1 : 1))
  }
}

/** Forgets sensors that are no longer heard. */
export function keepBound(latest: Latest, { sensors }: SubjectContext): void {
  for (let i = latest.length - 1; i >= 0; i--) {
    const id = latest[i]?.sensorId
    if (id !== undefined && !sensors.has(id)) latest.splice(i, 1)
  }
}

/** Mean of the values that still stand at `atMs`; null when none does. */
export function meanOfValid(latest: Latest, atMs: number, { sensors }: SubjectContext): number | null {
  let sum = 0
  let count = 0
  for (const l of latest) {
    if (atMs - l.atMs > (sensors.get(l.sensorId)?.validForMs ?? 0)) continue
    sum += l.value
    count++
  }
  return count === 0 ? null : sum / count
}
