import { mustAllBeFinite, mustBeCount, mustMatch } from './check.ts'
import { cholesky, type Cholesky } from './matrix.ts'

/** Trials that had the same covariates; a row each, or one for many alike. */
export interface BinomialRow {
  readonly covariates: readonly number[]
  readonly hits: number
  readonly trials: number
}

export interface LogisticFit {
  readonly converged: true
  /** The intercept first, then one for each covariate, on the scale they were given in. */
  readonly coefficients: readonly number[]
  readonly standardErrors: readonly number[]
  /** Twice the distance from a model with a parameter for each row; null model: intercept alone. */
  readonly deviance: number
  readonly nullDeviance: number
}

/** Why there is no estimate. A page shows it in words; nothing is thrown. */
export interface NoFit {
  readonly converged: false
  readonly reason: 'noRows' | 'separated' | 'collinear' | 'noConvergence'
}

export const MOST_STEPS = 100
const CLOSE = 1e-16
/** In units of one standard deviation of the covariate: farther out an estimate is on its way to infinity. */
const RUNAWAY_ERROR = 50

/**
 * Logistic regression by Newton's method (maximum likelihood; McCullagh and Nelder 1989, 4.4) with step halving.
 * Where hits and misses can be told apart without error there is no finite estimate: `separated`.
 *
 * @throws {RangeError} if a covariate is not finite, rows differ in their number of covariates, `trials` or `hits` is
 *         no whole number, or there are more hits than trials.
 */
export function logisticFit(rows: readonly BinomialRow[]): LogisticFit | NoFit {
  mustBeRows(rows)
  const design = designOf(rows)
  if (design === null) return { converged: false, reason: rows.length === 0 ? 'noRows' : 'collinear' }
  const hits = design.rows.reduce((s, r) => s + r.hits, 0)
  const trials = design.rows.reduce((s, r) => s + r.trials, 0)
  if (hits === 0 || hits === trials) return { converged: false, reason: 'separated' }
  let beta = [Math.log(hits / (trials - hits)), ...design.means.map(() => 0)]
  let now = likelihoodAt(design, beta)
  for (let step = 0; step < MOST_STEPS; step++) {
    const information = cholesky(now.information)
    if (information === null) return { converged: false, reason: step === 0 ? 'collinear' : 'separated' }
    const move = information.solve(now.score)
    if (dot(move, now.score) < CLOSE) return fitOf(design, { beta, information, deviance: now.deviance })
    const next = halvedStep(design, { beta, move, deviance: now.deviance })
    if (next === null) return { converged: false, reason: 'noConvergence' }
    ;({ beta, now } = next)
  }
  return { converged: false, reason: 'separated' }
}

/** Covariates brought to mean 0 and deviation 1, so that one tolerance fits all; an intercept in front. */
export interface Design {
  readonly rows: readonly { readonly x: readonly number[]; readonly hits: number; readonly trials: number }[]
  readonly means: readonly number[]
  readonly deviations: readonly number[]
}

/** @returns null where there are no trials, or a covariate is the same throughout. */
export function designOf(rows: readonly BinomialRow[]): Design | null {
  const used = rows.filter((r) => r.trials > 0)
  const trials = used.reduce((s, r) => s + r.trials, 0)
  const first = used[0]
  if (first === undefined) return null
  const mean = (f: (r: BinomialRow) => number): number =>
    used.reduce((s, r) => s + r.trials * f(r), 0) / trials
  const means = first.covariates.map((_, j) => mean((r) => r.covariates[j] ?? NaN))
  const deviations = means.map((m, j) => Math.sqrt(mean((r) => ((r.covariates[j] ?? NaN) - m) ** 2)))
  if (deviations.some((d, j) => !(d > 1e-12 * Math.max(1, Math.abs(means[j] ?? 0))))) return null
  const x = (r: BinomialRow): number[] => [
    1,
    ...r.covariates.map((v, j) => (v - (means[j] ?? NaN)) / (deviations[j] ?? NaN)),
  ]
  return { rows: used.map((r) => ({ x: x(r), hits: r.hits, trials: r.trials })), means, deviations }
}

/** Back to the scale the covariates were given in. */
export function unscaled(design: Design, beta: readonly number[]): number[] {
  const slopes = design.means.map((_, j) => (beta[j + 1] ?? NaN) / (design.deviations[j] ?? NaN))
  const shift = slopes.reduce((s, b, j) => s + b * (design.means[j] ?? NaN), 0)
  return [(beta[0] ?? NaN) - shift, ...slopes]
}

export function shareAt(logOdds: number): number {
  return 1 / (1 + Math.exp(-logOdds))
}

export function dot(a: readonly number[], b: readonly number[]): number {
  let total = 0
  for (let i = 0; i < a.length; i++) total += (a[i] ?? NaN) * (b[i] ?? NaN)
  return total
}

/** @throws {RangeError} naming the row and field that cannot be. */
export function mustBeRows(rows: readonly BinomialRow[]): void {
  const width = rows[0]?.covariates.length ?? 0
  rows.forEach(({ covariates, hits, trials }, i) => {
    mustMatch(`covariates of rows[${i}] and rows[0]`, covariates.length, width)
    mustAllBeFinite(`rows[${i}].covariates`, covariates)
    mustBeCount(`rows[${i}].hits`, hits)
    mustBeCount(`rows[${i}].trials`, trials)
    if (hits > trials) {
      throw new RangeError(`rows[${i}].hits must be 0 to trials, got ${hits} of ${trials}`)
    }
  })
}

interface Likelihood {
  readonly deviance: number
  readonly score: readonly number[]
  readonly information: readonly (readonly number[])[]
}

function likelihoodAt(design: Design, beta: readonly number[]): Likelihood {
  const score = beta.map(() => 0)
  const information = beta.map(() => beta.map(() => 0))
  let deviance = 0
  for (const { x, hits, trials } of design.rows) {
    const share = shareAt(dot(x, beta))
    deviance += rowDeviance(hits, trials, share)
    const weight = trials * share * (1 - share)
    x.forEach((a, i) => {
      score[i] = (score[i] ?? 0) + a * (hits - trials * share)
      const row = information[i] ?? []
      x.forEach((b, j) => (row[j] = (row[j] ?? 0) + weight * a * b))
    })
  }
  return { deviance, score, information }
}

function rowDeviance(hits: number, trials: number, share: number): number {
  const part = (observed: number, expected: number): number =>
    observed === 0 ? 0 : observed * Math.log(observed / expected)
  return 2 * (part(hits, trials * share) + part(trials - hits, trials * (1 - share)))
}

function halvedStep(
  design: Design,
  {
    beta,
    move,
    deviance,
  }: { readonly beta: readonly number[]; readonly move: readonly number[]; readonly deviance: number },
): { beta: number[]; now: Likelihood } | null {
  for (let share = 1; share > 1e-6; share /= 2) {
    const next = beta.map((b, i) => b + share * (move[i] ?? NaN))
    const now = likelihoodAt(design, next)
    if (now.deviance <= deviance + 1e-9) return { beta: next, now }
  }
  return null
}

function fitOf(
  design: Design,
  {
    beta,
    information,
    deviance,
  }: { readonly beta: readonly number[]; readonly information: Cholesky; readonly deviance: number },
): LogisticFit | NoFit {
  const covariance = information.inverse()
  const errors = covariance.map((row, i) => Math.sqrt(row[i] ?? NaN))
  if (errors.some((e) => e > RUNAWAY_ERROR)) return { converged: false, reason: 'separated' }
  const shift = [1, ...design.means.map((m, j) => -m / (design.deviations[j] ?? NaN))]
  const interceptVariance = shift.reduce((s, a, i) => s + a * dot(covariance[i] ?? [], shift), 0)
  const hits = design.rows.reduce((s, r) => s + r.hits, 0)
  const trials = design.rows.reduce((s, r) => s + r.trials, 0)
  return {
    converged: true,
    coefficients: unscaled(design, beta),
    standardErrors: [
      Math.sqrt(interceptVariance),
      ...design.deviations.map((d, j) => (errors[j + 1] ?? NaN) / d),
    ],
    deviance,
    nullDeviance: design.rows.reduce((s, r) => s + rowDeviance(r.hits, r.trials, hits / trials), 0),
  }
}
