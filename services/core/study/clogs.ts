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
  /** It only tells whether the nozzles were clear then: made after a cleaning, or in the middle of a closed time. */
  readonly tellsOnlyState?: boolean
  /** Place of that night among the shop's nights; where it is not given, calendar days count as nights. */
  readonly place?: number
}

/** What the check after a night said. A night without one has no outcome: missing, not clear. */
export interface NightOutcome {
  readonly channelGroupId: string
  readonly nightOf: string
  /** When the check was made that says so. */
  readonly checkedMs: number
  readonly isClog: boolean
  readonly why: 'routine' | 'suspicion'
}

/** Nights without a check before one with: on more than these it is not known which of them clogged. Starting value. */
export const MOST_UNCHECKED_NIGHTS = 3

/** Why a check is no outcome of a night. */
export type NoOutcome =
  'tellsOnlyState' | 'laterOfTheDay' | 'nothingBefore' | 'clogBefore' | 'tooLongUnchecked'

export interface SortedChecks {
  readonly outcomes: readonly NightOutcome[]
  /** How many checks of channel groups were none, by the first reason that holds. */
  readonly left: Readonly<Record<NoOutcome, number>>
}

/**
 * New clogs and clear nights from nozzle checks.
 *
 * CLOG-1 The first check after a night is its outcome; later ones of that day only tell whether it was cleared.
 * CLOG-2 A clog is new when nozzles are missing at a check after a clear one.
 * CLOG-3 After a clog the series is out until a check is clear; that check ends the clog and is no outcome.
 * CLOG-4 Before the first check nothing is known: it opens or holds the series and is no outcome.
 * CLOG-5 After more than three nights without a check the next one is no outcome, whatever it says: nobody knows which
 *        night it was, and to drop the clogs alone would make long closures look harmless.
 * CLOG-7 A check that only tells the state is no outcome. It ends a clog or holds it, and a night that it stands first
 *        after has none.
 * CLOG-8 Nights are counted by their place among the shop's, where it is given: over a closed fortnight lies one night.
 *
 * @throws {RangeError} if a date is none, `atMs` no number, or `missingNozzles` no count.
 */
export function outcomesOf(checks: readonly NozzleCheck[]): readonly NightOutcome[] {
  return sortedChecks(checks).outcomes
}

/** As `outcomesOf`, with what was left out. */
export function sortedChecks(checks: readonly NozzleCheck[]): SortedChecks {
  const series = new Map<string, NozzleCheck[]>()
  for (const check of checks) {
    mustBeCount('missingNozzles', check.missingNozzles)
    mustBeCount('atMs', check.atMs)
    dayNumber('nightOf', check.nightOf)
    const own = series.get(check.channelGroupId) ?? []
    own.push(check)
    series.set(check.channelGroupId, own)
  }
  const left = { tellsOnlyState: 0, laterOfTheDay: 0, nothingBefore: 0, clogBefore: 0, tooLongUnchecked: 0 }
  const outcomes = [...series.values()].flatMap((own) =>
    seriesOutcomes(
      own.sort((a, b) => a.atMs - b.atMs),
      (reason) => left[reason]++,
    ),
  )
  return { outcomes, left }
}

function seriesOutcomes(checks: readonly NozzleCheck[], leave: (reason: NoOutcome) => void): NightOutcome[] {
  const outcomes: NightOutcome[] = []
  let isClear = false
  let lastDay: number | null = null
  for (const { channelGroupId, nightOf, atMs, missingNozzles, why, tellsOnlyState, place } of checks) {
    const day = place ?? dayNumber('nightOf', nightOf)
    if (tellsOnlyState) leave('tellsOnlyState')
    else if (lastDay === null) leave('nothingBefore')
    else if (day === lastDay) leave('laterOfTheDay')
    else if (!isClear) leave('clogBefore')
    else if (day - lastDay - 1 > MOST_UNCHECKED_NIGHTS) leave('tooLongUnchecked')
    else outcomes.push({ channelGroupId, nightOf, checkedMs: atMs, isClog: missingNozzles > 0, why })
    isClear = missingNozzles === 0
    lastDay = day
  }
  return outcomes
}
