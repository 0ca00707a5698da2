import fc from 'fast-check'
import { expect, it } from 'vitest'
import { z } from 'zod'
import {
  maxStatisticTest,
  permutationTest,
  signFlipTest,
} from '../../../../../services/core/statistics/permutation.ts'
import { seededDraw, shuffle } from '../../../../../services/core/statistics/random.ts'
import { spearmanExact } from '../../../../../services/core/statistics/rank-correlation.ts'
import { referenceJson } from '../../../../parts/stats-vectors.ts'

const { darwin_sign_permutation: darwin } = referenceJson(
  'stats_vectors.json',
  z.object({
    darwin_sign_permutation: z.object({
      diff_eighth_inch: z.array(z.number()),
      two_sided_count: z.number(),
      assignments: z.number(),
    }),
  }),
)

const upTo = (n: number) => [Array.from({ length: n }, (_, i) => i)]

const productOf = (x: readonly number[], y: readonly number[]) => (order: Uint16Array) =>
  order.reduce((s, o, i) => s + (x[i] ?? NaN) * (y[o] ?? NaN), 0)

it('PERM-1 Darwin’s maize, 15 pairs: 863 and 1,726 of 32,768 (Fisher 1935)', () => {
  const tested = signFlipTest(darwin.diff_eighth_inch, { draws: 100, seed: 1 })
  expect(tested).toMatchObject({ orders: 32_768, enumerated: true })
  expect(tested.pGreater).toBe(863 / 32_768)
  expect(tested.p).toBe(darwin.two_sided_count / darwin.assignments)
})

it('PERM-2 few blocks are gone through in every order: the p of ranks is that of Spearman’s exact test', () => {
  const x = [1, 2, 3, 4, 5, 6]
  const y = [2, 1, 4, 3, 6, 5]
  const tested = permutationTest(upTo(6), productOf(x, y), { draws: 1000, seed: 1 })
  expect(tested).toMatchObject({ orders: 720, enumerated: true })
  expect(tested.p).toBeCloseTo(spearmanExact(x, y).pTwoSided, 12)
})

it('PERM-3 many are drawn: the same seed gives the same p, another nearly the same, never 0', () => {
  const x = Array.from({ length: 12 }, (_, i) => i)
  const run = (seed: number) => permutationTest(upTo(12), productOf(x, x), { draws: 500, seed })
  expect(run(7)).toEqual(run(7))
  expect(run(7)).toEqual({ p: 1 / 501, orders: 500, enumerated: false })
  const weak = x.map((i) => (i * 5) % 12)
  const weakRun = (seed: number) => permutationTest(upTo(12), productOf(x, weak), { draws: 4000, seed }).p
  expect(Math.abs(weakRun(1) - weakRun(2))).toBeLessThan(0.05)
})

it('PERM-4 what does not depend on the order is no finding: p 1', () => {
  expect(permutationTest(upTo(20), () => 3.7, { draws: 200, seed: 1 }).p).toBe(1)
  expect(permutationTest(upTo(1), () => 1, { draws: 200, seed: 1 }).p).toBe(1)
  expect(signFlipTest([], { draws: 10, seed: 1 }).p).toBe(1)
})

it('PERM-5 the best of many pays for the choice: its p is no smaller than alone, and grows with what stands beside it', () => {
  let checked = 0
  fc.assert(
    fc.property(fc.integer(), (seed) => {
      const draw = seededDraw(seed)
      const series = Array.from({ length: 4 }, () => Array.from({ length: 6 }, () => draw()))
      const y = Array.from({ length: 6 }, () => draw())
      const alone = permutationTest(upTo(6), productOf(series[0] ?? [], y), { draws: 720, seed })
      const together = maxStatisticTest(
        upTo(6),
        (order, into) => series.forEach((x, i) => (into[i] = productOf(x, y)(order))),
        { draws: 720, seed, statistics: 4 },
      )
      expect(together.pOfEach[0] ?? NaN).toBeGreaterThanOrEqual(alone.p - 1e-12)
      expect(together.p).toBe(Math.min(...together.pOfEach))
      checked++
    }),
    { numRuns: 20, seed: 5 },
  )
  expect(checked).toBe(20)
})

it('PERM-7 blocks are exchanged within their group alone', () => {
  const x = [1, 2, 3, 10, 20]
  const groups = [
    [0, 1, 2],
    [3, 4],
  ]
  const seen = new Set<string>()
  const tested = permutationTest(
    groups,
    (order) => {
      seen.add(order.join(''))
      return productOf(x, [3, 1, 2, 5, 4])(order)
    },
    { draws: 50, seed: 1 },
  )
  expect(tested).toMatchObject({ orders: 12, enumerated: true })
  expect([...seen].every((o) => /^[012]{3}[34]{2}$/.test(o))).toBe(true)
  expect(seen.size).toBe(12)
  const drawn = permutationTest(groups, (order) => order[0] ?? 0, { draws: 11, seed: 1 })
  expect(drawn).toMatchObject({ orders: 11, enumerated: false })
})

it('PERM-6 what cannot be is refused by name', () => {
  expect(() => permutationTest(upTo(3), () => NaN, { draws: 10, seed: 1 })).toThrow(
    'statistic[0] must be a finite',
  )
  expect(() => permutationTest(upTo(3), () => 1, { draws: 0, seed: 1 })).toThrow('draws must be above 0')
  expect(() => seededDraw(0.5)).toThrow('seed must be a whole number')
  expect(() => signFlipTest([1, NaN], { draws: 10, seed: 1 })).toThrow('differences[1]')
})

it('RANDOM-1 shuffles reach every order about as often', () => {
  const draw = seededDraw(11)
  const counts = new Map<string, number>()
  for (let i = 0; i < 24_000; i++) {
    const order = Uint16Array.from([0, 1, 2, 3])
    shuffle(order, draw)
    counts.set(order.join(''), (counts.get(order.join('')) ?? 0) + 1)
  }
  expect(counts.size).toBe(24)
  // Chi-square of 23 degrees: 49.7 is passed once in a thousand.
  const chiSquare = [...counts.values()].reduce((s, c) => s + (c - 1000) ** 2 / 1000, 0)
  expect(chiSquare).toBeLessThan(49.7)
})
