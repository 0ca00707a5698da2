import { mustBeFinite } from '../statistics/check.ts'
import type { Resampling } from '../statistics/permutation.ts'
import { countedNights, nightsBetween, type Series } from './nights.ts'
import { CLAIM_P, clogsText, LEAST_CLOGS, type Verdict } from './verdict.ts'
import { weekTest } from './week-blocks.ts'

/** A claim as it stood at the end of a month, kept as it was. */
export interface FrozenVerdict {
  readonly verdict: Verdict
  /** The first day that had no part in it, in days since 1970-01-01. */
  readonly fromDay: number
}

export interface Confirmation {
  readonly state: 'waiting' | 'confirmed' | 'notConfirmed'
  readonly clogs: number
  readonly nights: number
  /** One-sided, in the frozen direction; null while waiting. */
  readonly p: number | null
  readonly text: string
}

/**
 * A frozen claim held against nights that came after it.
 *
 * FREEZE-2 Only nights from `fromDay` on count.
 * FREEZE-3 One test, in one direction, so there is nothing to correct. Under eight later clogs: waiting.
 * FREEZE-4 Not confirmed is said as plainly as confirmed; the frozen words are not changed.
 *
 * @returns null for a verdict that claimed nothing.
 * @throws {RangeError} if its `fromDay` is no finite number.
 */
export function confirm(
  all: readonly Series[],
  { verdict, fromDay }: FrozenVerdict,
  resampling: Resampling,
): Confirmation | null {
  if (verdict.direction === 0) return null
  mustBeFinite('fromDay', fromDay)
  const later = nightsBetween(all, fromDay, Infinity)
  const counted = later.flatMap((s) => countedNights(s, verdict.exposure))
  const clogs = counted.filter((n) => n.isClog).length
  const base = { clogs, nights: counted.length }
  if (clogs < LEAST_CLOGS) {
    return {
      ...base,
      state: 'waiting',
      p: null,
      text: `Since then ${clogsText(clogs)} in ${counted.length} nights: too few to confirm it.`,
    }
  }
  const test = weekTest(later, { exposure: verdict.exposure, score: { kind: 'rank' } }, resampling)
  const pointsThere = test !== null && test.excess * verdict.direction > 0
  // Half of the two-sided p, on the side that was told before.
  const p = test === null ? 1 : pointsThere ? test.p / 2 : 1 - test.p / 2
  const isConfirmed = p <= CLAIM_P
  return {
    ...base,
    state: isConfirmed ? 'confirmed' : 'notConfirmed',
    p,
    text: isConfirmed
      ? `Later nights (${clogsText(clogs)}) say the same.`
      : `Later nights (${clogsText(clogs)}) do not bear it out.`,
  }
}
