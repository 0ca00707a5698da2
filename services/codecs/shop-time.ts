import { Temporal } from 'temporal-polyfill'

/** A point in time on the shop's clock with its offset, to the second: `2026-10-25T02:30:00+01:00` (RFC 3339). */
export function shopTime(atMs: number, timeZone: string): string {
  return Temporal.Instant.fromEpochMilliseconds(atMs).toString({
    timeZone,
    smallestUnit: 'second',
  })
}
