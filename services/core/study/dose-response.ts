import { firthFit, firthShare, type FirthFit } from '../statistics/firth.ts'
import type { BinomialRow, NoFit } from '../statistics/logistic.ts'
import { CONFIDENCE } from './at-limit.ts'
import type { CountedNight } from './nights.ts'

export interface DoseResponse {
  readonly fit: FirthFit | NoFit
  /** How probable a clog is along the exposure, rising; empty where there is no fit. */
  readonly curve: readonly { readonly value: number; readonly share: number }[]
}

/** Values are taken together in so many steps from the lowest to the highest: a fit then costs the same in any year. */
const STEPS = 200
const CURVE_POINTS = 25

/**
 * Firth's regression of clogs on one exposure over all channel groups. DOSE-1 the curve and the clogs expected from it
 * use the corrected intercept, so that as many are expected as came. DOSE-2 no fit is a value, and then no curve.
 */
export function doseResponse(nights: readonly CountedNight[]): DoseResponse {
  const fit = firthFit(grouped(nights), CONFIDENCE)
  if (!fit.converged) return { fit, curve: [] }
  const values = nights.map((n) => n.value)
  const low = values.reduce((a, b) => Math.min(a, b))
  const high = values.reduce((a, b) => Math.max(a, b))
  const curve = Array.from({ length: CURVE_POINTS }, (_, i) => {
    const value = low + ((high - low) * i) / (CURVE_POINTS - 1)
    return { value, share: firthShare(fit, [value]) }
  })
  return { fit, curve }
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
