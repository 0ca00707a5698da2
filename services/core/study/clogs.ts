import { mustBeCount } from '../statistics/check.ts'
import { dayNumber } from './exposure.ts'

/** A nozzle check as far as the study needs it. */
export interface NozzleCheck {
  readonly channelGroupId: string
  /** The last night before the check, `2026-03-14`. */
  readonly nightOf: string
  readonly atMs: number
  readonly missingNozzles: number
  readonly why: 'routine' | 'suspicion'
}

/** What the check after a night said. A night without one has no outcome: missing, not clear. */
export interface NightOutcome {
  readonly channelGroupId: string
  readonly nightOf: string
  readonly isClog: boolean
  readonly why: 'routine' | 'suspicion'
}

/** Nights without a check before one with: on more than these it is not known which of them clogged. Starting value. */
export const MOST_UNCHECKED_NIGHTS = 3

/**
 * New clogs and clear nights from nozzle checks.
 *
 * CLOG-1 The first check after a night is its outcome; later ones of that day only tell whether it was cleared.
 * CLOG-2 A clog is new when nozzles are missing at a check after a clear one.
 * CLOG-3 After a clog the series is out until a check is clear; that check ends the clog and is no outcome.
 * CLOG-4 Before the first check nothing is known: it opens or holds the series and is no outcome.
 * CLOG-5 After more than three nights without a check the next one is no outcome, whatever it says: nobody knows which
 *        night it was, and to drop the clogs alone would make long closures look harmless.
 *
 * @throws {RangeError} if a date is none, `atMs` no number, or `missingNozzles` no count.
 */
export function outcomesOf(checks: readonly NozzleCheck[]): NightOutcome[] {
  const series = new Map<string, NozzleCheck[]>()
  for (const check of checks) {
    mustBeCount('missingNozzles', check.missingNozzles)
    mustBeCount('atMs', check.atMs)
    dayNumber('nightOf', check.nightOf)
    const own = series.get(check.channelGroupId) ?? []
    own.push(check)
    series.set(check.channelGroupId, own)
  }
  return [...series.values()].flatMap((own) => seriesOutcomes(own.sort((a, b) => a.atMs - b.atMs)))
}

function seriesOutcomes(checks: readonly NozzleCheck[]): NightOutcome[] {
  const outcomes: NightOutcome[] = []
  let isClear = false
  let lastDay: number | null = null
  for (const { channelGroupId, nightOf, missingNozzles, why } of checks) {
    const day = dayNumber('nightOf', nightOf)
    const isFirstOfDay = day !== lastDay
    const isNear = lastDay !== null && day - lastDay - 1 <= MOST_UNCHECKED_NIGHTS
    if (isFirstOfDay && isClear && isNear) {
      outcomes.push({ channelGroupId, nightOf, isClog: missingNozzles > 0, why })
    }
    isClear = missingNozzles === 0
    lastDay = day
  }
  return outcomes
}
