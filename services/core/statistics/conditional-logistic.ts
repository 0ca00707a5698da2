import { mustAllBeFinite, mustMatch } from './check.ts'
import { dot, MOST_STEPS, type NoFit } from './logistic.ts'
import { cholesky } from './matrix.ts'

/** One that was compared with the others of its stratum. */
export interface Member {
  readonly covariates: readonly number[]
  readonly isCase: boolean
}

export interface ConditionalFit {
  readonly converged: true
  /** One for each covariate; there is no intercept, each stratum has its own and it cancels. */
  readonly coefficients: readonly number[]
  readonly standardErrors: readonly number[]
  /** Strata that hold a case and another. */
  readonly strata: number
}

/** In units of the covariate's spread within strata: farther out an estimate is on its way to infinity. */
const RUNAWAY_ERROR = 50
const CLOSE = 1e-12

/**
 * Logistic regression conditional on how many cases each stratum has (Breslow and Day 1980, chapter 7), by Newton's
 * method; several cases in a stratum by the recursion of Gail, Lubin and Rubinstein 1981. Strata without a case or
 * without another say nothing and drop out.
 *
 * @throws {RangeError} if a covariate is not finite, or members differ in their number of covariates.
 */
export function conditionalLogisticFit(strata: readonly (readonly Member[])[]): ConditionalFit | NoFit {
  const used = informativeStrata(strata)
  const width = used[0]?.[0]?.covariates.length ?? 0
  if (used.length === 0) return { converged: false, reason: 'noRows' }
  const centred = used.map(aroundItsMiddle)
  const spreads = Array.from({ length: width }, (_, j) => spreadOf(centred, j))
  if (spreads.some((s) => s === 0)) return { converged: false, reason: 'collinear' }
  const scaled = centred.map((s) =>
    s.map((m) => ({ ...m, covariates: m.covariates.map((v, j) => v / (spreads[j] ?? NaN)) })),
  )
  let beta = spreads.map(() => 0)
  let now = likelihoodOf(scaled, beta)
  for (let step = 0; step < MOST_STEPS; step++) {
    const parts = cholesky(now.information)
    if (parts === null) return { converged: false, reason: step === 0 ? 'collinear' : 'separated' }
    const move = parts.solve(now.score)
    if (dot(move, now.score) < CLOSE) {
      const errors = parts.inverse().map((row, i) => Math.sqrt(row[i] ?? NaN))
      if (errors.some((e) => e > RUNAWAY_ERROR)) return { converged: false, reason: 'separated' }
      return {
        converged: true,
        coefficients: beta.map((b, j) => b / (spreads[j] ?? NaN)),
        standardErrors: errors.map((e, j) => e / (spreads[j] ?? NaN)),
        strata: used.length,
      }
    }
    const next = halved(scaled, { beta, move, value: now.value })
    if (next === null) return { converged: false, reason: 'noConvergence' }
    ;({ beta, now } = next)
  }
  return { converged: false, reason: 'separated' }
}

/** Strata that hold a case and one that is none. @throws {RangeError} on what no stratum may hold. */
export function informativeStrata(strata: readonly (readonly Member[])[]): readonly (readonly Member[])[] {
  const width = strata.find((s) => s.length > 0)?.[0]?.covariates.length ?? 0
  strata.forEach((stratum, s) =>
    stratum.forEach(({ covariates }, i) => {
      mustMatch(`covariates of strata[${s}][${i}] and of the first`, covariates.length, width)
      mustAllBeFinite(`strata[${s}][${i}].covariates`, covariates)
    }),
  )
  return strata.filter((s) => s.some((m) => m.isCase) && s.some((m) => !m.isCase))
}

/** A stratum's own level cancels; taken off first so that e to its power stays small. */
function aroundItsMiddle(stratum: readonly Member[]): Member[] {
  const width = stratum[0]?.covariates.length ?? 0
  const means = Array.from(
    { length: width },
    (_, j) => stratum.reduce((s, m) => s + (m.covariates[j] ?? NaN), 0) / stratum.length,
  )
  return stratum.map((m) => ({ ...m, covariates: m.covariates.map((v, j) => v - (means[j] ?? NaN)) }))
}

function spreadOf(strata: readonly (readonly Member[])[], j: number): number {
  const values = strata.flatMap((s) => s.map((m) => m.covariates[j] ?? NaN))
  const spread = Math.sqrt(values.reduce((s, v) => s + v * v, 0) / values.length)
  return spread > 1e-12 ? spread : 0
}

interface Likelihood {
  value: number
  readonly score: number[]
  readonly information: number[][]
}

function halved(
  strata: readonly (readonly Member[])[],
  {
    beta,
    move,
    value,
  }: { readonly beta: readonly number[]; readonly move: readonly number[]; readonly value: number },
): { beta: number[]; now: Likelihood } | null {
  for (let share = 1; share > 1e-8; share /= 2) {
    const next = beta.map((b, i) => b + share * (move[i] ?? NaN))
    const now = likelihoodOf(strata, next)
    if (now.value >= value - 1e-12) return { beta: next, now }
  }
  return null
}

function likelihoodOf(strata: readonly (readonly Member[])[], beta: readonly number[]): Likelihood {
  const total: Likelihood = {
    value: 0,
    score: beta.map(() => 0),
    information: beta.map(() => beta.map(() => 0)),
  }
  for (const stratum of strata) addStratum(total, stratum, beta)
  return total
}

/** The sum over all ways to choose as many cases, of e to their linear predictors; with its first two derivatives. */
interface Ways {
  value: number
  first: number[]
  second: number[][]
}

function addStratum(total: Likelihood, stratum: readonly Member[], beta: readonly number[]): void {
  const cases = stratum.filter((m) => m.isCase)
  const highest = Math.max(...stratum.map((m) => dot(m.covariates, beta)))
  const ways = waysOf(stratum, { beta, cases: cases.length, highest })
  total.value -= Math.log(ways.value) + cases.length * highest
  for (const { covariates } of cases) {
    total.value += dot(covariates, beta)
    covariates.forEach((v, j) => (total.score[j] = (total.score[j] ?? NaN) + v))
  }
  const mean = ways.first.map((v) => v / ways.value)
  mean.forEach((m, i) => {
    total.score[i] = (total.score[i] ?? NaN) - m
    const row = total.information[i] ?? []
    mean.forEach((n, j) => (row[j] = (row[j] ?? NaN) + (ways.second[i]?.[j] ?? NaN) / ways.value - m * n))
  })
}

function waysOf(
  stratum: readonly Member[],
  {
    beta,
    cases,
    highest,
  }: { readonly beta: readonly number[]; readonly cases: number; readonly highest: number },
): Ways {
  const ways = Array.from({ length: cases + 1 }, (_, k): Ways => ({
    value: k === 0 ? 1 : 0,
    first: beta.map(() => 0),
    second: beta.map(() => beta.map(() => 0)),
  }))
  for (const { covariates: x } of stratum) {
    const weight = Math.exp(dot(x, beta) - highest)
    for (let k = cases; k >= 1; k--) {
      const to = ways[k]
      const from = ways[k - 1]
      if (to !== undefined && from !== undefined) addMember(to, from, { x, weight })
    }
  }
  return ways[cases] ?? { value: 1, first: [], second: [] }
}

function addMember(
  to: Ways,
  from: Ways,
  { x, weight }: { readonly x: readonly number[]; readonly weight: number },
): void {
  to.value += weight * from.value
  x.forEach((a, i) => {
    to.first[i] = (to.first[i] ?? NaN) + weight * ((from.first[i] ?? NaN) + a * from.value)
    const row = to.second[i] ?? []
    x.forEach((b, j) => {
      const cross = a * (from.first[j] ?? NaN) + b * (from.first[i] ?? NaN) + a * b * from.value
      row[j] = (row[j] ?? NaN) + weight * ((from.second[i]?.[j] ?? NaN) + cross)
    })
  })
}
