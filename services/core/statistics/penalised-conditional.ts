import { chiSquareQuantile, chiSquareTail } from './chi-square.ts'
import { mustBeConfidence } from './check.ts'
import { informativeStrata, type Member } from './conditional-logistic.ts'
import type { NoFit } from './logistic.ts'
import type { Interval } from './rate-interval.ts'
import { rootBetween } from './root.ts'

/** One covariate of a night, compared with the other nights of its stratum. */
export interface MatchedValue {
  readonly value: number
  readonly isCase: boolean
}

export interface PenalisedConditionalFit {
  readonly converged: true
  /** Logarithm of the odds ratio for one unit of the covariate. */
  readonly coefficient: number
  /** Profile penalised likelihood; -Infinity and Infinity are open ends. */
  readonly interval: Interval
  readonly p: number
  readonly strata: number
}

/** In units of the covariate's spread within strata. */
const FARTHEST = 60

/**
 * Conditional logistic regression on one covariate with Firth's penalty (Heinze and Puhr 2010): finite with a single
 * case, where the plain estimate runs away. Strata without a case or without another drop out.
 *
 * @throws {RangeError} if a value is not finite or `confidence` not above 0 and below 1.
 */
export function penalisedConditionalFit(
  strata: readonly (readonly MatchedValue[])[],
  confidence: number,
): PenalisedConditionalFit | NoFit {
  mustBeConfidence(confidence)
  const used = informativeStrata(strata.map((s) => s.map(asMember))).map(centredValues)
  if (used.length === 0) return { converged: false, reason: 'noRows' }
  const all = used.flatMap((s) => s.values)
  const spread = Math.sqrt(all.reduce((s, v) => s + v * v, 0) / all.length)
  if (!(spread > 1e-12)) return { converged: false, reason: 'collinear' }
  const scaled = used.map((s) => ({ ...s, values: s.values.map((v) => v / spread), sum: s.sum / spread }))
  const slope = (beta: number): number => penalisedAt(scaled, beta).slope
  const way = slope(0) < 0 ? -1 : 1
  const peak = passing((b) => -way * slope(b), 0, way)
  if (!Number.isFinite(peak)) return { converged: false, reason: 'noConvergence' }
  const best = penalisedAt(scaled, peak).value
  const drop = chiSquareQuantile(confidence, 1) / 2
  const fall = (beta: number): number => best - penalisedAt(scaled, beta).value - drop
  return {
    converged: true,
    coefficient: peak / spread,
    interval: { low: passing(fall, peak, -1) / spread, high: passing(fall, peak, 1) / spread },
    p: chiSquareTail(Math.max(0, 2 * (best - penalisedAt(scaled, 0).value)), 1),
    strata: used.length,
  }
}

interface Stratum {
  readonly values: readonly number[]
  readonly cases: number
  /** Of the cases' values. */
  readonly sum: number
}

function asMember({ value, isCase }: MatchedValue): Member {
  return { covariates: [value], isCase }
}

function centredValues(stratum: readonly Member[]): Stratum {
  const raw = stratum.map((m) => m.covariates[0] ?? NaN)
  const mean = raw.reduce((a, b) => a + b, 0) / raw.length
  const values = raw.map((v) => v - mean)
  const cases = stratum.filter((m) => m.isCase).length
  return { values, cases, sum: stratum.reduce((s, m, i) => s + (m.isCase ? (values[i] ?? NaN) : 0), 0) }
}

/** The penalised log-likelihood, and its slope: the score plus half the third cumulant over the information. */
function penalisedAt(strata: readonly Stratum[], beta: number): { value: number; slope: number } {
  let [value, score, information, third] = [0, 0, 0, 0]
  for (const stratum of strata) {
    const { logWays, mean, variance, skew } = momentsAt(stratum, beta)
    value += beta * stratum.sum - logWays
    score += stratum.sum - mean
    information += variance
    third += skew
  }
  return { value: value + Math.log(information) / 2, slope: score + third / (2 * information) }
}

/**
 * Mean and central moments of the sum over the cases, if they fell on members at odds e^(beta value). Values are told
 * from the heaviest member, so that far out, where it takes all, the moments keep their digits.
 */
function momentsAt({ values, cases }: Stratum, beta: number) {
  const top = values.reduce((best, v) => (v * beta > best * beta ? v : best))
  if (cases === 1) return momentsOfOne(values, { beta, top })
  const ways = Array.from({ length: cases + 1 }, (_, k) => [k === 0 ? 1 : 0, 0, 0, 0] as Moments)
  for (const value of values) {
    const x = value - top
    const weight = Math.exp(x * beta)
    for (let k = cases; k >= 1; k--) {
      const from = ways[k - 1]
      const to = ways[k]
      if (from === undefined || to === undefined) continue
      const [a, b, c, d] = from
      to[0] += weight * a
      to[1] += weight * (b + x * a)
      to[2] += weight * (c + 2 * x * b + x * x * a)
      to[3] += weight * (d + 3 * x * c + 3 * x * x * b + x * x * x * a)
    }
  }
  const [all, first, second, third] = ways[cases] ?? [1, 0, 0, 0]
  const mean = first / all
  return {
    logWays: Math.log(all) + cases * top * beta,
    mean: mean + cases * top,
    variance: second / all - mean ** 2,
    skew: third / all - (3 * mean * second) / all + 2 * mean ** 3,
  }
}

/** The same for a single case, which is what most months have: without the recursion. */
function momentsOfOne(
  values: readonly number[],
  { beta, top }: { readonly beta: number; readonly top: number },
) {
  let [all, first, second, third] = [0, 0, 0, 0]
  for (const value of values) {
    const x = value - top
    const weight = Math.exp(x * beta)
    all += weight
    first += weight * x
    second += weight * x * x
    third += weight * x * x * x
  }
  const mean = first / all
  return {
    logWays: Math.log(all) + top * beta,
    mean: mean + top,
    variance: second / all - mean ** 2,
    skew: third / all - (3 * mean * second) / all + 2 * mean ** 3,
  }
}

type Moments = [number, number, number, number]

/** Where a function that is at most 0 at `start` passes 0 on the way up or down; infinite where it does not. */
function passing(f: (x: number) => number, start: number, way: 1 | -1): number {
  let reach = 0.25
  while (!(f(start + way * reach) > 0)) {
    if (reach > FARTHEST) return way * Infinity
    reach *= 2
  }
  const root = rootBetween((distance) => f(start + way * distance), { low: 0, high: reach, tolerance: 1e-11 })
  return start + way * root
}
