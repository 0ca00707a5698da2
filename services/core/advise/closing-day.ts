import type { ClosingState } from '../model/closing.ts'
import type { OpeningCalendar } from '../model/opening-hours.ts'

const HOUR_MS = 3_600_000
/** A closing shorter than this is a break, and no night. Starting value, as for the telling (HOURS-3). */
const SHORTEST_NIGHT_MS = 4 * HOUR_MS
/** As far back as the last opening is looked for: over long holidays the day before them is long over. */
const LOOKED_BACK_MS = 8 * 24 * HOUR_MS
/** A shop without hours has days of this length, counted back from now. */
const WITHOUT_HOURS_MS = 16 * HOUR_MS

/** CLOSE-1 a shop's day begins at its opening after a night; what was ticked before belongs to an earlier day. */
export function dayStartMs(calendar: OpeningCalendar, nowMs: number): number {
  const nights = calendar
    .closedSpans({ fromMs: nowMs - LOOKED_BACK_MS, toMs: nowMs })
    .filter((s) => s.toMs < nowMs && s.toMs - s.fromMs >= SHORTEST_NIGHT_MS)
  return nights.at(-1)?.toMs ?? nowMs - WITHOUT_HOURS_MS
}

/** What of the remembered belongs to the day that runs at `nowMs`. */
export function ofThisDay(kept: ClosingState, startMs: number): ClosingState {
  const holds = (atMs: number | undefined): boolean => atMs !== undefined && atMs >= startMs
  return {
    ...kept,
    begun: holds(kept.begun?.atMs) ? kept.begun : null,
    ticks: Object.fromEntries(Object.entries(kept.ticks).filter(([, act]) => holds(act.atMs))),
    finished: holds(kept.finished?.act.atMs) ? kept.finished : null,
  }
}
