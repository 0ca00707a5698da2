import { Temporal } from 'temporal-polyfill'

/** Between two looks at a zone's offset lies at most one change of it. */
const LOOK_MS = 12 * 3_600_000
const MINUTE_MS = 60_000

/** Gives the wall clock's reading at an instant, in ms since 1970-01-01T00:00 on that clock. */
export type WallClock = (atMs: number) => number

/**
 * The wall clock of a time zone from `fromMs` to `toMs`, daylight saving and all. The calendar is asked only here, so
 * the clock may be read in inner loops. Before and after the stretch the nearest known offset holds.
 *
 * @throws {RangeError} if the zone is unknown.
 */
export function createWallClock(stretch: {
  readonly timeZone: string
  readonly fromMs: number
  readonly toMs: number
}): WallClock {
  const { timeZone, fromMs, toMs } = stretch
  const offsets = [{ fromMs: -Infinity, offsetMs: offsetMsAt(fromMs, timeZone) }]
  for (let atMs = fromMs; atMs < toMs; atMs += LOOK_MS) {
    const nextMs = Math.min(atMs + LOOK_MS, toMs)
    const offsetMs = offsetMsAt(nextMs, timeZone)
    if (offsetMs !== offsets.at(-1)?.offsetMs) {
      offsets.push({ fromMs: changeBetween(atMs, nextMs, timeZone), offsetMs })
    }
  }
  offsets.reverse()
  return (atMs) => {
    for (const span of offsets) if (atMs >= span.fromMs) return atMs + span.offsetMs
    return atMs
  }
}

function offsetMsAt(atMs: number, timeZone: string): number {
  const instant = Temporal.Instant.fromEpochMilliseconds(Math.floor(atMs))
  return instant.toZonedDateTimeISO(timeZone).offsetNanoseconds / 1e6
}

/** The minute in which the offset changes; zones change on whole minutes. */
function changeBetween(fromMs: number, toMs: number, timeZone: string): number {
  const before = offsetMsAt(fromMs, timeZone)
  let low = Math.floor(fromMs / MINUTE_MS)
  let high = Math.ceil(toMs / MINUTE_MS)
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2)
    if (offsetMsAt(middle * MINUTE_MS, timeZone) === before) low = middle
    else high = middle
  }
  return high * MINUTE_MS
}
