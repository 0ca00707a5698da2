import { Temporal } from 'temporal-polyfill'
import type { Settings } from './settings.ts'

const DAY_MS = 86_400_000
/** Longest stretch that is searched for the next opening: a year of holidays is a shop without hours. */
const SEARCH_DAYS = 370

export interface Span {
  readonly fromMs: number
  readonly toMs: number
}

type Segment = Span & { readonly open: boolean }
/** Enough for a week of questions about now and the next opening. */
const REMEMBERED_SEGMENTS = 16

/** When the shop is open, asked by instant. Pure: same hours and zone data, same answers. */
export interface OpeningCalendar {
  readonly timeZone: string
  readonly isOpenAt: (atMs: number) => boolean
  /** The next instant after `atMs` at which open becomes closed or closed open; null with no hours within a year. */
  readonly nextChangeAfter: (atMs: number) => number | null
  /** The next opening after `atMs`; null with no hours within a year. */
  readonly nextOpeningAfter: (atMs: number) => number | null
  /** The instant at or after `atMs` from which the shop is closed: `atMs` itself when it is closed then. */
  readonly closedFrom: (atMs: number) => number
  /** The closed spans that touch [fromMs, toMs), cut to it, oldest first. */
  readonly closedSpans: (range: Span) => readonly Span[]
}

/**
 * The shop's opening calendar in its own zone, across daylight-saving nights. A shop without hours counts as
 * closed: the stricter night limits then hold all day. A time of day that a clock change skips means the instant
 * after the gap; one that comes twice means the first (RFC 5545's and Temporal's "compatible" rule).
 *
 * @throws {RangeError} if the time zone is not an IANA name that this computer knows.
 */
export function openingCalendar({ site, hours }: Pick<Settings, 'site' | 'hours'>): OpeningCalendar {
  const { timeZone } = site
  const holidays = new Set(hours.holidays)
  const days = new Map<string, readonly Span[]>()

  const openSpansOn = (date: Temporal.PlainDate): readonly Span[] => {
    const key = date.toString()
    const known = days.get(key)
    if (known) return known
    const spans = holidays.has(key)
      ? []
      : hours.weekly
          .filter((o) => o.weekday === date.dayOfWeek)
          .map((o) => ({
            fromMs: instantOf(date, o.opens, timeZone),
            toMs: instantOf(date, o.closes, timeZone),
          }))
          .sort((a, b) => a.fromMs - b.fromMs)
    if (days.size > 2000) days.clear()
    days.set(key, spans)
    return spans
  }
  const dateAt = (atMs: number): Temporal.PlainDate =>
    Temporal.Instant.fromEpochMilliseconds(Math.floor(atMs)).toZonedDateTimeISO(timeZone).toPlainDate()

  // A segment is a stretch in which the answer does not change; most questions fall into one of the last few found.
  const recent: Segment[] = []
  const segmentAt = (atMs: number): Segment => {
    for (const segment of recent) if (atMs >= segment.fromMs && atMs < segment.toMs) return segment
    const segment = findSegment(atMs, dateAt(atMs), openSpansOn)
    recent.unshift(segment)
    if (recent.length > REMEMBERED_SEGMENTS) recent.pop()
    return segment
  }

  const nextChangeAfter = (atMs: number): number | null => {
    if (hours.weekly.length === 0) return null
    let at = atMs
    const { open } = segmentAt(atMs)
    for (let day = 0; day < SEARCH_DAYS; day++) {
      const here = segmentAt(at)
      if (here.open !== open) return here.fromMs
      at = here.toMs
    }
    return null
  }
  const isOpenAt = (atMs: number): boolean => segmentAt(atMs).open

  return {
    timeZone,
    isOpenAt,
    nextChangeAfter,
    nextOpeningAfter: (atMs) => {
      const change = nextChangeAfter(atMs)
      return change === null || isOpenAt(change) ? change : nextChangeAfter(change)
    },
    closedFrom: (atMs) => (isOpenAt(atMs) ? (nextChangeAfter(atMs) ?? atMs) : atMs),
    closedSpans: ({ fromMs, toMs }) => {
      const spans: Span[] = []
      for (let at = fromMs; at < toMs;) {
        const change = nextChangeAfter(at) ?? toMs
        if (!isOpenAt(at)) spans.push({ fromMs: at, toMs: Math.min(change, toMs) })
        at = change
      }
      return spans
    },
  }
}

function instantOf(date: Temporal.PlainDate, time: string, timeZone: string): number {
  return date.toZonedDateTime({ timeZone, plainTime: Temporal.PlainTime.from(time) }).epochMilliseconds
}

/** The stretch around `atMs` without a change, cut at the ends of the neighbouring days. */
function findSegment(
  atMs: number,
  date: Temporal.PlainDate,
  openSpansOn: (date: Temporal.PlainDate) => readonly Span[],
): Segment {
  const near = [date.subtract({ days: 1 }), date, date.add({ days: 1 })].flatMap(openSpansOn)
  const inside = near.find((s) => atMs >= s.fromMs && atMs < s.toMs)
  if (inside) return { ...inside, open: true }
  const before = Math.max(atMs - DAY_MS / 2, ...near.filter((s) => s.toMs <= atMs).map((s) => s.toMs))
  const after = Math.min(atMs + DAY_MS / 2, ...near.filter((s) => s.fromMs > atMs).map((s) => s.fromMs))
  return { fromMs: before, toMs: after, open: false }
}
