import { describe, expect, it } from 'vitest'
import { robustSigma } from '../../../../../services/core/statistics/robust.ts'

/** Quantiles of the standard normal distribution at 0.05, 0.15 ... 0.95 (tables of it; from memory). */
const NORMAL = [-1.6449, -1.0364, -0.6745, -0.3853, -0.1257, 0.1257, 0.3853, 0.6745, 1.0364, 1.6449]

describe('the robust standard deviation', () => {
  it('is that of a normal distribution, in any unit and from any middle', () => {
    expect(robustSigma(NORMAL)).toBeCloseTo(1, 4)
    expect(robustSigma(NORMAL.map((z) => 50 + 3 * z))).toBeCloseTo(3 * robustSigma(NORMAL), 9)
  })
  it('does not follow a few that stand far off', () => {
    expect(robustSigma([...NORMAL, 1000, -2000])).toBeLessThan(2 * robustSigma(NORMAL))
  })
  it('of one value, and of equal ones, is nothing; of none it is refused', () => {
    expect(robustSigma([7])).toBe(0)
    expect(robustSigma([7, 7, 7])).toBe(0)
    expect(() => robustSigma([])).toThrow()
  })
})
