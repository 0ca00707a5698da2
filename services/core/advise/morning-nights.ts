import { Temporal } from 'temporal-polyfill'
import { clockText } from '../model/clock-text.ts'
import type { OpeningCalendar, Span } from '../model/opening-hours.ts'

const HOUR_MS = 3_600_000
/** A shop that closes for less than this has a break, not a night. Starting value. */
export const SHORTEST_NIGHT_MS = 4 * HOUR_MS
const SEARCHED_MS = 21 * 24 * HOUR_MS
/** What a shop without hours is told of: it has no night. */
const WITHOUT_HOURS_MS = 12 * HOUR_MS

export interface Night extends Span {
  /** The shop's day on which it began. */
  readonly date: string
}

/**
 * The closed periods of the last three weeks, the newest first.
 *
 * NIGHTS-1 a break of under four hours is no night; the night that runs is one as soon as it has lasted that long.
 * NIGHTS-2 a night has the date on which it began: a weekend that of its Friday.
 * NIGHTS-3 a shop without hours is told of the last twelve hours.
 */
export function recentNights(calendar: OpeningCalendar, nowMs: number): readonly Night[] {
  const dated = (span: Span): Night => ({ ...span, date: dateOf(span.fromMs, calendar.timeZone) })
  if (calendar.nextChangeAfter(nowMs) === null)
    return [dated({ fromMs: nowMs - WITHOUT_HOURS_MS, toMs: nowMs })]
  const searchedMs = nowMs - SEARCHED_MS
  return calendar
    .closedSpans({ fromMs: searchedMs, toMs: nowMs })
    .filter((s) => s.fromMs > searchedMs && s.toMs - s.fromMs >= SHORTEST_NIGHT_MS)
    .map(dated)
    .reverse()
}

/** A time of the night: `20:05`; with the weekday where the night is longer than a day. */
export function nightClock(atMs: number, { fromMs, toMs }: Span, timeZone: string): string {
  return clockText(atMs, { timeZone, nowMs: toMs - fromMs > 24 * HOUR_MS ? Infinity : atMs })
}

function dateOf(atMs: number, timeZone: string): string {
  return Temporal.Instant.fromEpochMilliseconds(atMs).toZonedDateTimeISO(timeZone).toPlainDate().toString()
}
