import { chiSquareQuantile, chiSquareTail } from './chi-square.ts'
import { mustBeConfidence } from './check.ts'
import {
  designOf,
  dot,
  MOST_STEPS,
  mustBeRows,
  shareAt,
  unscaled,
  type BinomialRow,
  type Design,
  type NoFit,
} from './logistic.ts'
import { cholesky } from './matrix.ts'
import type { Interval } from './rate-interval.ts'
import { rootBetween } from './root.ts'

export interface FirthFit {
  readonly converged: true
  /** The intercept first, then one for each covariate, on the scale they were given in. */
  readonly coefficients: readonly number[]
  /** Of the covariates alone; -Infinity and Infinity are open ends, null one that was not found. */
  readonly intervals: readonly (Interval | null)[]
  /** Of each covariate: twice the penalised likelihood's fall when it is left at 0, against chi-square. */
  readonly pValues: readonly (number | null)[]
  /** The intercept with which as many hits are expected as came (FLIC); -Infinity of none, Infinity of all. */
  readonly correctedIntercept: number
}

const CLOSE = 1e-12
/** In standard deviations of the covariate: no interval is looked for farther out. */
const FARTHEST = 60

/**
 * Logistic regression with Firth's penalty (Firth 1993; Heinze and Schemper 2002): finite where hits and misses can be
 * told apart without error, and with less bias where hits are few. Intervals are those of the profile penalised
 * likelihood. Probabilities are told with the corrected intercept (Puhr and others 2017), since the penalty draws them
 * towards one half. Of hits alone, or of none, nothing is known of a slope: intervals are open and p is 1.
 *
 * @throws {RangeError} as `logisticFit`, or if `confidence` is not above 0 and below 1.
 */
export function firthFit(rows: readonly BinomialRow[], confidence: number): FirthFit | NoFit {
  mustBeRows(rows)
  mustBeConfidence(confidence)
  const design = designOf(rows)
  if (design === null) return { converged: false, reason: rows.length === 0 ? 'noRows' : 'collinear' }
  const start = [0, ...design.means.map(() => 0)]
  const best = maximised(design, { start, held: null })
  const hits = rows.reduce((n, r) => n + r.hits, 0)
  const isOneSided = hits === 0 || hits === rows.reduce((n, r) => n + r.trials, 0)
  if (best === null) return { converged: false, reason: 'noConvergence' }
  const coefficients = unscaled(design, best.beta)
  const drop = chiSquareQuantile(confidence, 1) / 2
  const intervals = design.deviations.map((d, j) =>
    isOneSided ? OPEN : scaledBy(profileInterval(design, { best, at: j + 1, drop }), d),
  )
  const pValues = design.deviations.map((_, j) => (isOneSided ? 1 : slopeP(design, best, j + 1)))
  return {
    converged: true,
    coefficients,
    intervals,
    pValues,
    correctedIntercept: correctedIntercept(rows, coefficients),
  }
}

const OPEN: Interval = { low: -Infinity, high: Infinity }

function slopeP(design: Design, best: Peak, at: number): number | null {
  const without = maximised(design, { start: best.beta.map(() => 0), held: at })
  return without === null ? null : chiSquareTail(Math.max(0, 2 * (best.value - without.value)), 1)
}

/** How probable a hit is at these covariates, with the corrected intercept. */
export function firthShare(fit: FirthFit, covariates: readonly number[]): number {
  return shareAt(fit.correctedIntercept + dot(covariates, fit.coefficients.slice(1)))
}

interface Peak {
  readonly beta: readonly number[]
  /** The penalised log-likelihood there. */
  readonly value: number
}

interface Penalised {
  readonly value: number
  readonly score: readonly number[]
  readonly information: readonly (readonly number[])[]
}

/** Newton's way up the penalised likelihood; the coefficient `held` stays where it started. */
function maximised(
  design: Design,
  { start, held }: { readonly start: readonly number[]; readonly held: number | null },
): Peak | null {
  let beta = Array.from(start)
  let now = penalisedAt(design, beta)
  for (let step = 0; step < MOST_STEPS && now !== null; step++) {
    const free = beta.map((_, i) => i).filter((i) => i !== held)
    const score = free.map((i) => now?.score[i] ?? NaN)
    const move = cholesky(free.map((i) => free.map((j) => now?.information[i]?.[j] ?? NaN)))?.solve(score)
    if (move === undefined) return null
    if (dot(move, score) < CLOSE) return { beta, value: now.value }
    const next = climb(design, { beta, free, move, value: now.value })
    if (next === null) return dot(move, score) < 1e-7 ? { beta, value: now.value } : null
    ;({ beta, now } = next)
  }
  return null
}

interface Climb {
  readonly beta: readonly number[]
  readonly free: readonly number[]
  readonly move: readonly number[]
  readonly value: number
}

/** A step that does not lead down: shortened until it is one. */
function climb(
  design: Design,
  { beta, free, move, value }: Climb,
): { beta: number[]; now: Penalised } | null {
  const longest = Math.max(...move.map(Math.abs))
  // No step over five deviations: the quadratic picture does not reach as far.
  for (let share = Math.min(1, 5 / longest); share > 1e-8; share /= 2) {
    const next = Array.from(beta)
    free.forEach((i, k) => (next[i] = (next[i] ?? NaN) + share * (move[k] ?? NaN)))
    const now = penalisedAt(design, next)
    if (now !== null && now.value >= value - 1e-12) return { beta: next, now }
  }
  return null
}

function penalisedAt(design: Design, beta: readonly number[]): Penalised | null {
  const shares = design.rows.map((r) => shareAt(dot(r.x, beta)))
  const information = informationAt(design, shares)
  const parts = cholesky(information)
  if (parts === null) return null
  const inverse = parts.inverse()
  const score = beta.map(() => 0)
  let value = parts.logDeterminant / 2
  design.rows.forEach(({ x, hits, trials }, r) => {
    const share = shares[r] ?? NaN
    value += logPart(hits, share) + logPart(trials - hits, 1 - share)
    const leverage =
      trials *
      share *
      (1 - share) *
      dot(
        x,
        inverse.map((row) => dot(row, x)),
      )
    const pull = hits - trials * share + leverage * (0.5 - share)
    for (let i = 0; i < x.length; i++) score[i] = (score[i] ?? NaN) + (x[i] ?? NaN) * pull
  })
  return Number.isFinite(value) ? { value, score, information } : null
}

function informationAt(design: Design, shares: readonly number[]): number[][] {
  const width = design.means.length + 1
  const information = Array.from({ length: width }, () => new Array<number>(width).fill(0))
  design.rows.forEach(({ x, trials }, r) => {
    const share = shares[r] ?? NaN
    const weight = trials * share * (1 - share)
    information.forEach((row, i) => {
      for (let j = 0; j < width; j++) row[j] = (row[j] ?? NaN) + weight * (x[i] ?? NaN) * (x[j] ?? NaN)
    })
  })
  return information
}

function logPart(count: number, share: number): number {
  return count === 0 ? 0 : count * Math.log(share)
}

interface ProfileOptions {
  readonly best: Peak
  readonly at: number
  readonly drop: number
}

function profileInterval(design: Design, options: ProfileOptions): Interval | null {
  const low = profileEnd(design, options, -1)
  const high = profileEnd(design, options, 1)
  return low === null || high === null ? null : { low, high }
}

/** Walks outwards until the profile has fallen far enough, then halves; open where it never does; null where lost. */
function profileEnd(design: Design, { best, at, drop }: ProfileOptions, way: 1 | -1): number | null {
  const peak = best.beta[at] ?? NaN
  let start = best.beta
  const fallAt = (value: number): number | null => {
    const from = start.map((b, i) => (i === at ? value : b))
    const held = maximised(design, { start: from, held: at })
    if (held === null) return null
    start = held.beta
    return best.value - held.value - drop
  }
  let [inside, outside] = [0, 0.25]
  let fallOutside = fallAt(peak + way * outside)
  while (fallOutside === null || fallOutside < 0) {
    if (outside > FARTHEST) return way * Infinity
    // Lost on too long a step: a shorter one.
    if (fallOutside === null && outside - inside < 1e-3) return null
    const lost: boolean = fallOutside === null
    if (fallOutside !== null) inside = outside
    outside = lost ? (inside + outside) / 2 : outside * 1.6
    fallOutside = fallAt(peak + way * outside)
  }
  let isLost = false
  const distance = rootBetween(
    (d) => {
      const fall = fallAt(peak + way * d)
      if (fall === null) isLost = true
      return fall ?? 0
    },
    { low: inside, high: outside, tolerance: 1e-8 },
  )
  return isLost ? null : peak + way * distance
}

function scaledBy(interval: Interval | null, deviation: number): Interval | null {
  return interval && { low: interval.low / deviation, high: interval.high / deviation }
}

/** Halving on the sum of hits expected, which rises with the intercept. */
function correctedIntercept(rows: readonly BinomialRow[], coefficients: readonly number[]): number {
  const slopes = coefficients.slice(1)
  const offsets = rows.map((r) => dot(r.covariates, slopes))
  const hits = rows.reduce((s, r) => s + r.hits, 0)
  const trials = rows.reduce((s, r) => s + r.trials, 0)
  if (hits === 0) return -Infinity
  if (hits === trials) return Infinity
  const expected = (intercept: number): number =>
    rows.reduce((s, r, i) => s + r.trials * shareAt(intercept + (offsets[i] ?? NaN)), 0)
  const first = coefficients[0] ?? 0
  let [low, high] = [first - 1, first + 1]
  while (expected(low) > hits) low -= 2 * (high - low)
  while (expected(high) < hits) high += 2 * (high - low)
  for (let i = 0; i < 70; i++) {
    const middle = (low + high) / 2
    if (expected(middle) < hits) low = middle
    else high = middle
  }
  return (low + high) / 2
}
