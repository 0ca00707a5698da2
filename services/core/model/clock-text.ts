import { Temporal } from 'temporal-polyfill'

/** Time of day in the shop's zone, `14:05`; with the weekday, `Tue 14:05`, when it is more than 12 hours from `nowMs`. */
export function clockText(atMs: number, { timeZone, nowMs }: { timeZone: string; nowMs: number }): string {
  const at = Temporal.Instant.fromEpochMilliseconds(Math.floor(atMs)).toZonedDateTimeISO(timeZone)
  const time = `${String(at.hour).padStart(2, '0')}:${String(at.minute).padStart(2, '0')}`
  if (Math.abs(nowMs - atMs) <= 12 * 3_600_000) return time
  return `${WEEKDAYS[at.dayOfWeek - 1] ?? ''} ${time}`
}

const WEEKDAYS = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun']

/** A length of time in words: `40 s`, `12 min`, `3 h 20 min`, `2 days`. */
export function durationText(ms: number): string {
  const minutes = Math.round(ms / 60_000)
  if (ms < 90_000) return `${Math.round(ms / 1000)} s`
  if (minutes < 120) return `${minutes} min`
  if (minutes < 48 * 60)
    return minutes % 60 === 0 ? `${minutes / 60} h` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`
  return `${Math.round(minutes / 1440)} days`
}
