import { expect, it } from 'vitest'
import { bandOf, probabilityOf, quantile } from '../../../../../services/core/forecast/quantile.ts'

it('the quantile is the order statistic at p (n + 1), interpolated', () => {
  // Type 6 of Hyndman and Fan (1996), "Sample quantiles in statistical packages"; worked by hand.
  const nine = [1, 2, 3, 4, 5, 6, 7, 8, 9]
  expect([0.1, 0.5, 0.9].map((p) => quantile(nine, p))).toEqual([1, 5, 9])
  expect(quantile([10, 20, 30, 40], 0.25)).toBeCloseTo(12.5, 9)
})

it('beyond 1 / (n + 1) it is the least or the greatest', () => {
  expect([quantile([3, 5, 8], 0.1), quantile([3, 5, 8], 0.9)]).toEqual([3, 8])
})

it('a quantile that touches Infinity is Infinity', () => {
  expect(quantile([1, 2, Infinity], 0.5)).toBe(2)
  expect(quantile([1, 2, Infinity, Infinity], 0.5)).toBe(Infinity)
})

it('a further value of the same kind falls within the 80 % interval 80 times in 100', () => {
  let state = 7
  const draw = () => (state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0) / 2 ** 32
  let inside = 0
  for (let run = 0; run < 20_000; run++) {
    const values = Array.from({ length: 28 }, draw).sort((a, b) => a - b)
    const next = draw()
    if (next >= quantile(values, 0.1) && next <= quantile(values, 0.9)) inside++
  }
  expect(inside / 20_000).toBeCloseTo(0.8, 1.9)
})

it('refuses no values, NaN and a share that is none', () => {
  expect(() => quantile([], 0.5)).toThrow('at least one value')
  expect(() => quantile(Float64Array.from([NaN, 1]).sort(), 0.5)).toThrow('no NaN')
  expect(() => quantile([1], 1.1)).toThrow('p must be 0 to 1')
  expect(() => quantile([1], NaN)).toThrow('p must be 0 to 1')
})

it('no count of nights makes a probability of 0 or 1', () => {
  expect(probabilityOf(0, 28)).toBeCloseTo(0.5 / 29, 12)
  expect(probabilityOf(14, 28)).toBe(0.5)
  expect(probabilityOf(28, 28)).toBeCloseTo(28.5 / 29, 12)
})

it('a band names each time with its 10, 50 and 90 %; a single line has no width', () => {
  const lines = [5, 1, 9, 3, 7, 2, 8, 4, 6].map((n) => [n, n * 10])
  expect(bandOf([100, 200], lines)).toEqual([
    [100, 1, 5, 9],
    [200, 10, 50, 90],
  ])
  expect(bandOf([100], [[4]])).toEqual([[100, 4, 4, 4]])
})
