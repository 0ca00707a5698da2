import { gammaln } from 'simple-statistics'
import { chiSquareQuantile } from './chi-square.ts'
import { mustBeConfidence, mustBeCount } from './check.ts'
import { exactOdds, type ConditionalCount, type ExactOdds } from './exact-odds.ts'
import type { Interval } from './rate-interval.ts'

/** Counts of one table: hits and misses among the exposed and among the rest. */
export interface TwoByTwo {
  readonly exposedHits: number
  readonly exposedMisses: number
  readonly restHits: number
  readonly restMisses: number
}

/** More than this many steps of adding up strata is not worth the wait; the Mantel-Haenszel figures are there then. */
const FEASIBLE_STEPS = 4_000_000

/**
 * Fisher's exact test of one table, with the conditional odds ratio and its exact interval. A table with an empty row
 * or column says nothing: ratio null, interval 0 to Infinity, p 1.
 *
 * @example fisherExact({ exposedHits: 3, exposedMisses: 1, restHits: 1, restMisses: 3 }, 0.95).pTwoSided // 0.4857
 * @throws {RangeError} if a count is no whole number from 0 on, or `confidence` not above 0 and below 1.
 */
export function fisherExact(table: TwoByTwo, confidence: number): ExactOdds {
  return exactOdds(conditionalCount(table), confidence)
}

/**
 * The exact test of one odds ratio common to several tables (Gart 1970; R's mantelhaen.test with `exact = TRUE`).
 * Strata that say nothing drop out by themselves; of no strata at all nothing is known.
 *
 * @returns null where the strata are too big for it to be worth the wait.
 * @throws {RangeError} as `fisherExact`.
 */
export function exactPooled(tables: readonly TwoByTwo[], confidence: number): ExactOdds | null {
  mustBeConfidence(confidence)
  const counts = tables.map(conditionalCount).filter((c) => c.logWeights.length > 1)
  let pooled: ConditionalCount = { low: 0, logWeights: [0], observed: 0 }
  let steps = 0
  for (const count of counts) {
    steps += pooled.logWeights.length * count.logWeights.length
    if (steps > FEASIBLE_STEPS) return null
    pooled = added(pooled, count)
  }
  return exactOdds(pooled, confidence)
}

/**
 * The sample odds ratio and its interval after Woolf 1955. With a zero cell the ratio is 0 or Infinity (null where it
 * would be 0 / 0) and the interval is open, 0 to Infinity: nothing is added to the cells behind the reader's back.
 *
 * @throws {RangeError} as `fisherExact`.
 */
export function woolfOdds(
  table: TwoByTwo,
  confidence: number,
): { readonly oddsRatio: number | null; readonly interval: Interval } {
  mustBeTable(table)
  mustBeConfidence(confidence)
  const { exposedHits: a, exposedMisses: b, restHits: c, restMisses: d } = table
  const oddsRatio = ratio(a * d, b * c)
  if (a * b * c * d === 0) return { oddsRatio, interval: { low: 0, high: Infinity } }
  const standardError = Math.sqrt(1 / a + 1 / b + 1 / c + 1 / d)
  return { oddsRatio, interval: logInterval((a * d) / (b * c), standardError, confidence) }
}

/** The interval of a ratio whose logarithm has this standard error. */
export function logInterval(estimate: number, standardError: number, confidence: number): Interval {
  const reach = Math.sqrt(chiSquareQuantile(confidence, 1)) * standardError
  return { low: estimate * Math.exp(-reach), high: estimate * Math.exp(reach) }
}

/** A ratio with defined ends: Infinity when nothing stands below, null when nothing stands above either. */
export function ratio(above: number, below: number): number | null {
  if (below > 0) return above / below
  return above > 0 ? Infinity : null
}

/** @throws {RangeError} naming the cell that is no whole number from 0 on. */
export function mustBeTable(table: TwoByTwo): void {
  mustBeCount('exposedHits', table.exposedHits)
  mustBeCount('exposedMisses', table.exposedMisses)
  mustBeCount('restHits', table.restHits)
  mustBeCount('restMisses', table.restMisses)
}

function conditionalCount(table: TwoByTwo): ConditionalCount {
  mustBeTable(table)
  const exposed = table.exposedHits + table.exposedMisses
  const rest = table.restHits + table.restMisses
  const hits = table.exposedHits + table.restHits
  const low = Math.max(0, hits - rest)
  const high = Math.min(exposed, hits)
  const logWeights = Array.from(
    { length: high - low + 1 },
    (_, i) => logChoose(exposed, low + i) + logChoose(rest, hits - low - i),
  )
  return { low, logWeights, observed: table.exposedHits }
}

/** The distribution of the sum of two counts that do not depend on each other, in logarithms lest far tails vanish. */
function added(a: ConditionalCount, b: ConditionalCount): ConditionalCount {
  const length = a.logWeights.length + b.logWeights.length - 1
  const logWeights = Array.from({ length }, (_, k) => {
    const terms: number[] = []
    for (let i = Math.max(0, k - b.logWeights.length + 1); i <= k && i < a.logWeights.length; i++) {
      terms.push((a.logWeights[i] ?? NaN) + (b.logWeights[k - i] ?? NaN))
    }
    const highest = terms.reduce((x, y) => Math.max(x, y), -Infinity)
    return highest + Math.log(terms.reduce((s, t) => s + Math.exp(t - highest), 0))
  })
  return { low: a.low + b.low, logWeights, observed: a.observed + b.observed }
}

function logChoose(n: number, k: number): number {
  return logFactorial(n) - logFactorial(k) - logFactorial(n - k)
}

const logFactorials = [0]

/** Summed up while small, where it is exact to the last digits; by the gamma function beyond. */
function logFactorial(n: number): number {
  if (n >= SUMMED_UP_TO) return gammaln(n + 1)
  for (let i = logFactorials.length; i <= n; i++) {
    logFactorials.push((logFactorials[i - 1] ?? 0) + Math.log(i))
  }
  return logFactorials[n] ?? NaN
}

const SUMMED_UP_TO = 20_000
