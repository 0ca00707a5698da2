import { firthFit, firthShare, type FirthFit } from '../statistics/firth.ts'
import { chiSquareQuantile } from '../statistics/chi-square.ts'
import { shareAt, type BinomialRow, type NoFit } from '../statistics/logistic.ts'
import type { Interval } from '../statistics/rate-interval.ts'
import { CONFIDENCE } from './at-limit.ts'
import type { CountedNight } from './nights.ts'

export interface DoseResponse {
  readonly fit: FirthFit | NoFit
  /** How probable a clog is along the exposure, rising; empty where there is no fit. */
  readonly curve: readonly CurvePoint[]
}

export interface CurvePoint {
  readonly value: number
  readonly share: number
  /** Where the share lies with 95 %, by the curvature of the likelihood (Wald), each point by itself. */
  readonly band: Interval
}

/** Values are taken together in so many steps from the lowest to the highest: a fit then costs the same in any year. */
const STEPS = 200
const CURVE_POINTS = 25

/**
 * Firth's regression of clogs on one exposure over all channel groups. DOSE-1 the curve and the clogs expected from it
 * use the corrected intercept, so that as many are expected as came. DOSE-2 no fit is a value, and then no curve. DOSE-3 the
 * band is that of a usual logistic curve at these coefficients; it takes nights to be independent.
 */
export function doseResponse(nights: readonly CountedNight[]): DoseResponse {
  const rows = grouped(nights)
  const fit = firthFit(rows, CONFIDENCE)
  if (!fit.converged) return { fit, curve: [] }
  const values = nights.map((n) => n.value)
  const low = values.reduce((a, b) => Math.min(a, b))
  const high = values.reduce((a, b) => Math.max(a, b))
  const curve = Array.from({ length: CURVE_POINTS }, (_, i) => {
    const value = low + ((high - low) * i) / (CURVE_POINTS - 1)
    return { value, share: firthShare(fit, [value]), band: bandAt(rows, fit, value) }
  })
  return { fit, curve }
}

const Z_TWO_SIDED = Math.sqrt(chiSquareQuantile(CONFIDENCE, 1))

function bandAt(rows: readonly BinomialRow[], fit: FirthFit, value: number): Interval {
  // Measured from the value itself the variance of the curve there is that of the intercept.
  let [w, wx, wxx] = [0, 0, 0]
  for (const { covariates, trials } of rows) {
    const share = firthShare(fit, covariates)
    const weight = trials * share * (1 - share)
    const x = (covariates[0] ?? NaN) - value
    w += weight
    wx += weight * x
    wxx += weight * x * x
  }
  const half = Z_TWO_SIDED * Math.sqrt(wxx / (w * wxx - wx * wx))
  const logOdds = fit.correctedIntercept + value * (fit.coefficients[1] ?? NaN)
  if (!Number.isFinite(half) || !Number.isFinite(logOdds)) return { low: 0, high: 1 }
  return { low: shareAt(logOdds - half), high: shareAt(logOdds + half) }
}

/** Each step stands at the mean of the nights in it. */
function grouped(nights: readonly CountedNight[]): BinomialRow[] {
  const low = nights.reduce((a, n) => Math.min(a, n.value), Infinity)
  const high = nights.reduce((a, n) => Math.max(a, n.value), -Infinity)
  const width = (high - low) / STEPS
  const steps = new Map<number, { sum: number; hits: number; trials: number }>()
  for (const { value, isClog } of nights) {
    const key = width > 0 ? Math.min(STEPS - 1, Math.floor((value - low) / width)) : 0
    const step = steps.get(key) ?? { sum: 0, hits: 0, trials: 0 }
    step.sum += value
    step.trials++
    if (isClog) step.hits++
    steps.set(key, step)
  }
  return [...steps.values()].map(({ sum, hits, trials }) => ({ covariates: [sum / trials], hits, trials }))
}
