import type { Verdict, VerdictKind } from '../model/verdict.ts'
import type { NoFit } from '../statistics/logistic.ts'
import type { PenalisedConditionalFit } from '../statistics/penalised-conditional.ts'
import { EXPOSURE_KINDS, type Exposure } from './exposure.ts'
import { moreNightsText, type Observed } from './sample-size.ts'

export type { Verdict, VerdictKind }

/** With fewer clogs nothing is claimed, whatever the numbers say. Starting value. */
export const LEAST_CLOGS = 8
/** Corrected p at or below which a link is claimed. */
export const CLAIM_P = 0.05

export interface Evidence {
  readonly exposure: Exposure
  readonly observed: Observed
  /** Of the permutation of weeks, corrected over every test of the page that can claim something; null: not resampled. */
  readonly correctedP: number | null
  /** Above 0: more of it, more clogs. */
  readonly excess: number
  readonly crossover: PenalisedConditionalFit | NoFit
}

/**
 * What may be said of one exposure, never more than the numbers.
 *
 * VERDICT-1 Fewer than eight clogs: this cannot tell. How many nights it would take is said.
 * VERDICT-2 Not resampled: no verdict. The classical p-values take nights to be independent and claim nothing here.
 * VERDICT-3 Corrected p of the week permutation above 0.05: no link was seen, which is not the same as none.
 * VERDICT-4 At or below it: they go together. Never that one causes the other.
 * VERDICT-5 Within the same month of the same head it is not seen, or points the other way: the season may be behind
 *           it, and that is said too.
 * VERDICT-6 It points away from the harm we expect: said as a surprise, with the advice to look for another reason.
 */
export function verdictOf(evidence: Evidence): Verdict {
  const { exposure, observed, correctedP, excess } = evidence
  const none = { exposure, direction: 0 } as const
  if (observed.clogs < LEAST_CLOGS) {
    return {
      ...none,
      kind: 'cannotTell',
      text: sentences(cannotTellText(observed), moreNightsText(observed)),
    }
  }
  if (correctedP === null) {
    return { ...none, kind: 'notTested', text: 'Not tested against chance yet: nothing is claimed.' }
  }
  if (!(correctedP <= CLAIM_P) || excess === 0) {
    const text = `With ${clogsText(observed.clogs)} no link is seen. That does not show that there is none.`
    return { ...none, kind: 'nothingSeen', text: sentences(text, moreNightsText(observed)) }
  }
  return claimOf(evidence)
}

function claimOf({ exposure, observed, excess, crossover }: Evidence): Verdict {
  const { harmful, more, less } = EXPOSURE_KINDS[exposure]
  const direction = excess > 0 ? 1 : -1
  const isExpected = (direction === 1) === (harmful === 'more')
  const seen =
    `New clogs came more often after nights with ${direction === 1 ? more : less} ` +
    `(${clogsText(observed.clogs)} in ${observed.nights} nights).`
  return {
    exposure,
    kind: isExpected ? 'goesTogether' : 'againstExpectation',
    direction,
    text: sentences(
      seen,
      isExpected
        ? 'That does not yet show the cause.'
        : 'That is not what one would expect: look for another reason.',
      isSeenWithinMonths(crossover, direction)
        ? ''
        : 'Within the same month it is not seen, so the season may be behind it.',
    ),
  }
}

/** The case-crossover's interval lies on the same side of nothing. */
function isSeenWithinMonths(crossover: PenalisedConditionalFit | NoFit, direction: 1 | -1): boolean {
  if (!crossover.converged) return false
  return direction === 1 ? crossover.interval.low > 0 : crossover.interval.high < 0
}

function cannotTellText({ clogs }: Observed): string {
  return clogs === 0 ? 'Without a clog this cannot tell.' : `With ${clogsText(clogs)} this cannot tell.`
}

export function clogsText(clogs: number): string {
  return clogs === 1 ? '1 clog' : `${clogs} clogs`
}

function sentences(...parts: readonly string[]): string {
  return parts.filter((p) => p !== '').join(' ')
}
