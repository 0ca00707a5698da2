import { medianAbsoluteDeviation } from 'simple-statistics'

/** 1 / (the normal distribution's quantile at 3/4): Rousseeuw and Croux 1993 (from memory). */
const SIGMA_OF_MAD = 1.4826

/**
 * Standard deviation of values that are normal but for some that stand far off: out of their median absolute deviation,
 * in their own unit. Up to half of them may be wild without moving it much.
 *
 * @throws {Error} of no values.
 */
export function robustSigma(values: readonly number[]): number {
  return SIGMA_OF_MAD * medianAbsoluteDeviation([...values])
}
