import { chiSquareTail } from './chi-square.ts'
import { mustBeConfidence } from './check.ts'
import type { Interval } from './rate-interval.ts'
import { logInterval, mustBeTable, ratio, type TwoByTwo } from './two-by-two.ts'

export interface PooledOdds {
  /** Mantel and Haenszel 1959: 0 and Infinity at the ends, null where no stratum says anything. */
  readonly oddsRatio: number | null
  /** After Robins, Breslow and Greenland 1986; 0 to Infinity where a sum is 0. */
  readonly interval: Interval
  /** Cochran's and Mantel's chi-square on one degree of freedom, without and with the correction of a half. */
  readonly chiSquare: number
  readonly p: number
  readonly chiSquareCorrected: number
  readonly pCorrected: number
  /** Strata that say something. */
  readonly strata: number
}

interface Sums {
  above: number
  below: number
  pr: number
  psqr: number
  qs: number
  difference: number
  variance: number
  strata: number
}

/**
 * One odds ratio over several tables, each compared within itself. Strata with an empty row or column say nothing and
 * drop out; when all do, the ratio is null, chi-square 0 and p 1.
 *
 * @throws {RangeError} if a count is no whole number from 0 on, or `confidence` not above 0 and below 1.
 */
export function mantelHaenszel(tables: readonly TwoByTwo[], confidence: number): PooledOdds {
  mustBeConfidence(confidence)
  const sums: Sums = {
    above: 0,
    below: 0,
    pr: 0,
    psqr: 0,
    qs: 0,
    difference: 0,
    variance: 0,
    strata: 0,
  }
  for (const table of tables) addStratum(sums, table)
  const { above, below, variance } = sums
  const distance = Math.abs(sums.difference)
  const chiSquare = variance > 0 ? distance ** 2 / variance : 0
  // As R does: a difference under a half is not corrected beyond itself.
  const corrected = distance >= 0.5 ? distance - 0.5 : distance
  const chiSquareCorrected = variance > 0 ? corrected ** 2 / variance : 0
  return {
    oddsRatio: ratio(above, below),
    interval:
      above > 0 && below > 0
        ? logInterval(above / below, Math.sqrt(logVariance(sums)), confidence)
        : { low: 0, high: Infinity },
    chiSquare,
    p: chiSquareTail(chiSquare, 1),
    chiSquareCorrected,
    pCorrected: chiSquareTail(chiSquareCorrected, 1),
    strata: sums.strata,
  }
}

function addStratum(sums: Sums, table: TwoByTwo): void {
  mustBeTable(table)
  const { exposedHits: a, exposedMisses: b, restHits: c, restMisses: d } = table
  const n = a + b + c + d
  if ((a + b) * (c + d) * (a + c) * (b + d) === 0) return
  const [r, s, p, q] = [(a * d) / n, (b * c) / n, (a + d) / n, (b + c) / n]
  sums.above += r
  sums.below += s
  sums.pr += p * r
  sums.psqr += p * s + q * r
  sums.qs += q * s
  sums.difference += a - ((a + b) * (a + c)) / n
  sums.variance += ((a + b) * (c + d) * (a + c) * (b + d)) / (n * n * (n - 1))
  sums.strata++
}

function logVariance({ above, below, pr, psqr, qs }: Sums): number {
  return pr / (2 * above ** 2) + psqr / (2 * above * below) + qs / (2 * below ** 2)
}
