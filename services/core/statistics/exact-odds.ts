import { mustBeConfidence } from './check.ts'
import { rootBetween } from './root.ts'
import type { Interval } from './rate-interval.ts'

/**
 * How many of the hits were exposed, the margins being what they were: `low`, `low + 1`, ... each with the logarithm
 * of its weight when exposure makes no difference; and how many it were.
 */
export interface ConditionalCount {
  readonly low: number
  readonly logWeights: readonly number[]
  readonly observed: number
}

/** What the exact conditional distribution says of an odds ratio. */
export interface ExactOdds {
  /** Conditional maximum-likelihood estimate: 0 and Infinity at the ends, null where the margins leave no choice. */
  readonly oddsRatio: number | null
  /** Exact by tails (Cornfield 1956): covers at least what it says. 0 and Infinity are open ends. */
  readonly interval: Interval
  /** With half of the observed count's probability in each tail: covers about what it says, not at least. */
  readonly midPInterval: Interval
  /** Two-sided by the usual ordering: all counts that are no more probable than the observed. */
  readonly pTwoSided: number
  /** That as few, or as many, exposed hits or fewer, or more, come by chance. */
  readonly pLess: number
  readonly pGreater: number
  /** `pTwoSided` less half of the observed count's probability. */
  readonly midPTwoSided: number
}

/** Equal but for rounding: the tolerance that R's fisher.test uses. */
const SAME = 1 + 1e-7
/** Beyond e^300 an odds ratio is open. */
const FARTHEST = 300

/**
 * Exact inference on one odds ratio from the conditional distribution of exposed hits (Fisher 1935; several strata:
 * Gart 1970). Where only one count is possible, nothing is known: ratio null, interval 0 to Infinity, every p is 1.
 *
 * @throws {RangeError} if `confidence` is not above 0 and below 1.
 */
export function exactOdds(count: ConditionalCount, confidence: number): ExactOdds {
  mustBeConfidence(confidence)
  const { logWeights, observed, low } = count
  if (logWeights.length === 1) return NOTHING_KNOWN
  const at = observed - low
  const chances = chancesAt(count, 0)
  const own = chances[at] ?? 0
  const noMoreProbable = chances.filter((c) => c <= own * SAME)
  const pTwoSided = Math.min(1, sum(noMoreProbable))
  return {
    oddsRatio: conditionalEstimate(count),
    interval: tailInterval(count, { confidence, ownShare: 1 }),
    midPInterval: tailInterval(count, { confidence, ownShare: 0.5 }),
    pTwoSided,
    pLess: Math.min(1, sum(chances.slice(0, at + 1))),
    pGreater: Math.min(1, sum(chances.slice(at))),
    midPTwoSided: pTwoSided - own / 2,
  }
}

const OPEN: Interval = { low: 0, high: Infinity }
const NOTHING_KNOWN: ExactOdds = {
  oddsRatio: null,
  interval: OPEN,
  midPInterval: OPEN,
  pTwoSided: 1,
  pLess: 1,
  pGreater: 1,
  midPTwoSided: 1,
}

/** The ratio at which the observed count is the expected one. */
function conditionalEstimate(count: ConditionalCount): number {
  const at = count.observed - count.low
  if (at === 0) return 0
  if (at === count.logWeights.length - 1) return Infinity
  return Math.exp(risingRoot((logOdds) => sum(chancesAt(count, logOdds).map((c, i) => c * i)) - at))
}

/** The ratios at which the observed count, or one farther out, has half of what `confidence` leaves. */
function tailInterval(
  count: ConditionalCount,
  { confidence, ownShare }: { readonly confidence: number; readonly ownShare: number },
): Interval {
  const beyond = (1 - confidence) / 2
  const at = count.observed - count.low
  const own = (chances: readonly number[]): number => ownShare * (chances[at] ?? 0)
  const low = (): number =>
    risingRoot((logOdds) => {
      const chances = chancesAt(count, logOdds)
      return sum(chances.slice(at + 1)) + own(chances) - beyond
    })
  const high = (): number =>
    risingRoot((logOdds) => {
      const chances = chancesAt(count, logOdds)
      return beyond - sum(chances.slice(0, at)) - own(chances)
    })
  return {
    low: at === 0 ? 0 : Math.exp(low()),
    high: at === count.logWeights.length - 1 ? Infinity : Math.exp(high()),
  }
}

/** How probable each count is when exposure multiplies the odds by e^`logOdds`. */
function chancesAt({ logWeights }: ConditionalCount, logOdds: number): number[] {
  const chances = logWeights.map((w, i) => w + i * logOdds)
  let highest = -Infinity
  for (const log of chances) highest = Math.max(highest, log)
  let total = 0
  for (let i = 0; i < chances.length; i++) total += chances[i] = Math.exp((chances[i] ?? NaN) - highest)
  for (let i = 0; i < chances.length; i++) chances[i] = (chances[i] ?? NaN) / total
  return chances
}

/** Where a function that rises with the log-odds passes 0. */
function risingRoot(f: (logOdds: number) => number): number {
  let low = -1
  let high = 1
  while (f(low) > 0 && low > -FARTHEST) low *= 2
  while (f(high) < 0 && high < FARTHEST) high *= 2
  return rootBetween(f, { low, high, tolerance: 1e-13 })
}

function sum(values: readonly number[]): number {
  let total = 0
  for (const value of values) total += value
  return total
}
