import { createWallClock } from './wall-clock.ts'

export const HOUR_MS = 3_600_000
/** The first of January 1970 was a Thursday: so many hours after a Monday's midnight. */
const EPOCH_HOUR_OF_WEEK = 72

/** One hour, or what of it lies in the stretch asked for, by a shop's own clock. */
export interface LocalHour {
  readonly fromMs: number
  readonly toMs: number
  /** Hours of local time since 1970-01-01T00:00 there. */
  readonly hour: number
}

/**
 * The local hours of [fromMs, toMs), oldest first; the first and the last may be cut. Two of them have the same number
 * when clocks are set back, one number is missing when they are set forward.
 *
 * @throws {RangeError} if the zone is unknown.
 */
export function localHours(fromMs: number, toMs: number, timeZone: string): readonly LocalHour[] {
  const wallClock = createWallClock({ timeZone, fromMs, toMs })
  const hours: LocalHour[] = []
  for (let at = fromMs; at < toMs;) {
    const wallMs = wallClock(at)
    const hour = Math.floor(wallMs / HOUR_MS)
    const end = Math.min(toMs, at + (hour + 1) * HOUR_MS - wallMs)
    hours.push({ fromMs: at, toMs: end, hour })
    at = end
  }
  return hours
}

/** Hour of the week from a local hour's number: 0 is Monday 00:00 to 01:00. */
export function hourOfWeek(hour: number): number {
  return (((hour + EPOCH_HOUR_OF_WEEK) % 168) + 168) % 168
}
