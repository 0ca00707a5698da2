import { Temporal } from 'temporal-polyfill'
import { SHORTEST_NIGHT_MS } from '../advise/morning-nights.ts'
import { openingCalendar, type Span } from '../model/opening-hours.ts'
import type { Settings } from '../model/settings.ts'

/** Settings as they held from a time on. */
export interface SettingsSince {
  readonly sinceMs: number
  readonly settings: Settings
}

/** A closed time of the shop, with the settings that held when it began. */
export interface ShopNight extends Span {
  /** The shop's day on which it began. */
  readonly nightOf: string
  readonly settings: Settings
}

/**
 * All nights of the shop's record that are over, the oldest first.
 *
 * SHOPNIGHT-1 a night lasts from closing to the next opening, at least four hours: a weekend is one night.
 * SHOPNIGHT-2 hours count as they were set when the night began; hours that change while it runs end it as it was begun.
 * SHOPNIGHT-3 a shop without hours has nights from noon to noon on its own clock.
 * SHOPNIGHT-4 what is closed when the record begins, or after new hours, is no night until the shop has been open once.
 *
 * @param past settings in order of their time.
 */
export function shopNights(past: readonly SettingsSince[], nowMs: number): readonly ShopNight[] {
  const nights: ShopNight[] = []
  past.forEach(({ sinceMs, settings }, i) => {
    const untilMs = Math.min(past[i + 1]?.sinceMs ?? nowMs, nowMs)
    const fromMs = Math.max(sinceMs, nights.at(-1)?.toMs ?? -Infinity)
    if (fromMs >= untilMs) return
    const spans = settings.hours.weekly.length === 0 ? noonToNoon : closedTimes
    for (const span of spans(settings, { fromMs, toMs: untilMs })) {
      if (span.toMs > nowMs) break
      nights.push({ ...span, nightOf: dayOf(span.fromMs, settings.site.timeZone).toString(), settings })
    }
  })
  return nights
}

/** Those that begin within the range, whole. */
function* closedTimes(settings: Settings, { fromMs, toMs }: Span): Iterable<Span> {
  const calendar = openingCalendar(settings)
  let at: number | null = calendar.isOpenAt(fromMs) ? fromMs : calendar.nextOpeningAfter(fromMs)
  while (at !== null) {
    const closesMs = calendar.nextChangeAfter(at)
    if (closesMs === null || closesMs >= toMs) return
    const opensMs = calendar.nextOpeningAfter(closesMs)
    if (opensMs === null) return
    if (opensMs - closesMs >= SHORTEST_NIGHT_MS) yield { fromMs: closesMs, toMs: opensMs }
    at = opensMs
  }
}

function* noonToNoon({ site }: Settings, { fromMs, toMs }: Span): Iterable<Span> {
  let day = dayOf(fromMs, site.timeZone)
  for (let noonMs = noonOf(day, site.timeZone); noonMs < toMs;) {
    day = day.add({ days: 1 })
    const nextMs = noonOf(day, site.timeZone)
    if (noonMs >= fromMs) yield { fromMs: noonMs, toMs: nextMs }
    noonMs = nextMs
  }
}

function noonOf(day: Temporal.PlainDate, timeZone: string): number {
  return day.toZonedDateTime({ timeZone, plainTime: Temporal.PlainTime.from('12:00') }).epochMilliseconds
}

function dayOf(atMs: number, timeZone: string): Temporal.PlainDate {
  return Temporal.Instant.fromEpochMilliseconds(atMs).toZonedDateTimeISO(timeZone).toPlainDate()
}
