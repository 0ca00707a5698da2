import type { ExactOdds } from '../statistics/exact-odds.ts'
import { mantelHaenszel, type PooledOdds } from '../statistics/mantel-haenszel.ts'
import { exactPooled, fisherExact, type TwoByTwo } from '../statistics/two-by-two.ts'
import { isBeyond, type Exposure } from './exposure.ts'
import type { CountedNight } from './nights.ts'

export const CONFIDENCE = 0.95

/** Clogs after nights beyond a limit against clogs after the others. */
export interface AtLimit {
  readonly limit: number
  /** All channel groups in one table, for the eye. */
  readonly table: TwoByTwo
  readonly fisher: ExactOdds
  /** Each channel group compared within itself. */
  readonly pooled: PooledOdds
  /** The same exactly; null where it is not worth the wait, or nothing else was found than one table. */
  readonly exact: ExactOdds | null
}

/**
 * LIMIT-1 A night on the limit is within it. LIMIT-2 Channel groups are pooled within themselves, so that one that
 * clogs often and stands in the driest corner is not taken for proof.
 *
 * @param nights those that count, by channel group.
 */
export function atLimit(
  nights: readonly (readonly CountedNight[])[],
  exposure: Exposure,
  limit: number,
): AtLimit {
  const tables = nights.map((own) => tableOf(own, exposure, limit))
  const table = tables.reduce(summed, { exposedHits: 0, exposedMisses: 0, restHits: 0, restMisses: 0 })
  return {
    limit,
    table,
    fisher: fisherExact(table, CONFIDENCE),
    pooled: mantelHaenszel(tables, CONFIDENCE),
    exact: exactPooled(tables, CONFIDENCE),
  }
}

function tableOf(nights: readonly CountedNight[], exposure: Exposure, limit: number): TwoByTwo {
  const count = (beyond: boolean, clogged: boolean): number =>
    nights.filter((n) => n.isClog === clogged && isBeyond(exposure, n.value, limit) === beyond).length
  return {
    exposedHits: count(true, true),
    exposedMisses: count(true, false),
    restHits: count(false, true),
    restMisses: count(false, false),
  }
}

function summed(a: TwoByTwo, b: TwoByTwo): TwoByTwo {
  return {
    exposedHits: a.exposedHits + b.exposedHits,
    exposedMisses: a.exposedMisses + b.exposedMisses,
    restHits: a.restHits + b.restHits,
    restMisses: a.restMisses + b.restMisses,
  }
}
