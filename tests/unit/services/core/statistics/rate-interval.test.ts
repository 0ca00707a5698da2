import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { chiSquareQuantile } from '../../../../../services/core/statistics/chi-square.ts'
import { poissonInterval, wilsonInterval } from '../../../../../services/core/statistics/rate-interval.ts'

describe('the interval of a share', () => {
  // Newcombe 1998, Statistics in Medicine 17:857-872, table I, method 3.
  it.each([
    [81, 263, 0.2553, 0.3662],
    [15, 148, 0.0624, 0.1605],
    [0, 20, 0, 0.1611],
    [1, 29, 0.0061, 0.1718],
  ])('WILSON-1 %i of %i lies between %f and %f, as published', (hits, n, low, high) => {
    const interval = wilsonInterval(hits, n, 0.95)
    expect(interval.low).toBeCloseTo(low, 4)
    expect(interval.high).toBeCloseTo(high, 4)
  })

  it('WILSON-2 misses are hits seen from the other side, and the share lies within', () => {
    fc.assert(
      fc.property(
        fc.nat({ max: 5000 }),
        fc.nat({ max: 5000 }),
        fc.double({ min: 0.5, max: 0.999, noNaN: true }),
        (a, b, c) => {
          fc.pre(a + b > 0)
          const one = wilsonInterval(a, a + b, c)
          const other = wilsonInterval(b, a + b, c)
          expect(one.low).toBeCloseTo(1 - other.high, 10)
          expect(one.low).toBeLessThanOrEqual(a / (a + b))
          expect(one.high).toBeGreaterThanOrEqual(a / (a + b))
          expect(one.low).toBeGreaterThanOrEqual(0)
          expect(one.high).toBeLessThanOrEqual(1)
        },
      ),
    )
  })

  it('WILSON-3 of none nothing is known', () => {
    expect(wilsonInterval(0, 0, 0.95)).toEqual({ low: 0, high: 1 })
  })
})

describe('the interval of a rate', () => {
  // Garwood 1936, Biometrika 28:437-442; the values of any table of exact Poisson limits at 95 %.
  it.each([
    [0, 0, 3.6889],
    [1, 0.0253, 5.5716],
    [2, 0.2422, 7.2247],
    [3, 0.6187, 8.7673],
    [5, 1.6235, 11.6683],
    [10, 4.7954, 18.3904],
  ])('POISSON-1 %i events lie between %f and %f, as published', (events, low, high) => {
    const interval = poissonInterval(events, 1, 0.95)
    expect(interval.low).toBeCloseTo(low, 4)
    expect(interval.high).toBeCloseTo(high, 4)
  })

  it('POISSON-2 the limits are those rates that would give as few or as many with half of what is left', () => {
    let checked = 0
    for (const events of [1, 4, 37, 400, 5000]) {
      const { low, high } = poissonInterval(events, 1, 0.9)
      expect(poissonAtMost(events, high)).toBeCloseTo(0.05, 8)
      expect(poissonAtMost(events - 1, low)).toBeCloseTo(0.95, 8)
      checked++
    }
    expect(checked).toBe(5)
  })

  it('POISSON-3 a rate is told for each unit of exposure', () => {
    const one = poissonInterval(7, 1, 0.95)
    expect(poissonInterval(7, 20, 0.95)).toEqual({ low: one.low / 20, high: one.high / 20 })
  })
})

it('CHI-1 quantiles are those of the tables: 3.841 for 1, 18.307 for 10, 124.342 for 100 degrees at 0.95', () => {
  expect(chiSquareQuantile(0.95, 1)).toBeCloseTo(3.841459, 6)
  expect(chiSquareQuantile(0.95, 10)).toBeCloseTo(18.307038, 6)
  expect(chiSquareQuantile(0.95, 100)).toBeCloseTo(124.342113, 6)
})

it('COUNT-1 what is no count, exposure or confidence is refused by name', () => {
  expect(() => wilsonInterval(3, 2, 0.95)).toThrow('hits must be 0 to n, got 3 of 2')
  expect(() => wilsonInterval(NaN, 2, 0.95)).toThrow('hits must be a whole number')
  expect(() => poissonInterval(1.5, 1, 0.95)).toThrow('events must be a whole number')
  expect(() => poissonInterval(1, 0, 0.95)).toThrow('exposure must be above 0')
  expect(() => poissonInterval(1, 1, 95)).toThrow('confidence must be above 0 and below 1')
})

/** By the sum itself, in logarithms. */
function poissonAtMost(events: number, mean: number): number {
  let sum = 0
  let log = -mean
  for (let k = 0; k <= events; k++) {
    if (k > 0) log += Math.log(mean / k)
    sum += Math.exp(log)
  }
  return sum
}
