import type { OpeningCalendar } from '../model/opening-hours.ts'

const SHOWN_MS = 4 * 3_600_000

/**
 * The monitor itself was not running. What happened meanwhile is unknown, not fine, and nobody was told of anything.
 *
 * DARK-1 opens when the monitor is back, from when it was last heard of; its value is the minutes. It was over when the
 *        monitor came back.
 * DARK-2 stays until four hours after the shop next opened (after the return, while it is open), so that who comes in
 *        the morning hears of it.
 * DARK-3 lives on receipt time: no late reading changes it. What nodes kept and send later is judged as ever.
 */
export function darkShownUntilMs(returnMs: number, calendar: OpeningCalendar): number {
  const opensMs = calendar.isOpenAt(returnMs) ? returnMs : (calendar.nextOpeningAfter(returnMs) ?? returnMs)
  return opensMs + SHOWN_MS
}
