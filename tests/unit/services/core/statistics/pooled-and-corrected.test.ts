import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { z } from 'zod'
import { chiSquareQuantile, chiSquareTail } from '../../../../../services/core/statistics/chi-square.ts'
import { benjaminiHochberg } from '../../../../../services/core/statistics/false-discovery.ts'
import { mantelHaenszel } from '../../../../../services/core/statistics/mantel-haenszel.ts'
import { midRanks, spearmanExact } from '../../../../../services/core/statistics/rank-correlation.ts'
import { cellsSchema, referenceJson, tableOf } from '../../../../parts/stats-vectors.ts'

const pair = z.tuple([z.number(), z.number()])
const vectors = referenceJson(
  'stats_vectors.json',
  z.object({
    mh_ucb: z.object({
      tables: z.array(cellsSchema),
      mh_or: z.number(),
      rbg_ci95: pair,
      chi2_cc: z.number(),
      p_cc: z.number(),
      chi2_no_cc: z.number(),
      p_no_cc: z.number(),
    }),
    mh_rabbits: z.object({
      tables: z.array(cellsSchema),
      mh_or: z.number(),
      ci95: pair,
      chi2_cc: z.number(),
      p_cc: z.number(),
    }),
    mh_china_smoking: z.object({
      tables: z.array(cellsSchema),
      cmh_no_cc: z.number(),
      mh_or: z.number(),
      ci95: pair,
    }),
    bh1995: z.object({ p_values: z.array(z.number()), q: z.number(), bh_adjusted: z.array(z.number()) }),
    spearman_tuna: z.object({
      x: z.array(z.number()),
      y: z.array(z.number()),
      rho: z.number(),
      exact_p_two_sided: z.number(),
      exact_p_greater: z.number(),
    }),
  }),
)

const relative = (value: number | null, expected: number, within: number): void =>
  expect(Math.abs((value ?? NaN) / expected - 1)).toBeLessThan(within)

describe('one odds ratio over strata', () => {
  it('MH-1 admissions to Berkeley: 0.9047 (0.7719 to 1.0603), chi-square 1.4269 and 1.5246 (R mantelhaen.test help)', () => {
    const known = vectors.mh_ucb
    const pooled = mantelHaenszel(known.tables.map(tableOf), 0.95)
    relative(pooled.oddsRatio, known.mh_or, 1e-9)
    relative(pooled.interval.low, known.rbg_ci95[0], 1e-9)
    relative(pooled.interval.high, known.rbg_ci95[1], 1e-9)
    relative(pooled.chiSquareCorrected, known.chi2_cc, 1e-8)
    relative(pooled.pCorrected, known.p_cc, 1e-8)
    relative(pooled.chiSquare, known.chi2_no_cc, 1e-8)
    relative(pooled.p, known.p_no_cc, 1e-8)
  })

  it('MH-2 penicillin and rabbits, two strata silent: ratio 7 (1.027 to 47.7), chi-square 3.9286 (R help prints 0.047)', () => {
    const known = vectors.mh_rabbits
    const pooled = mantelHaenszel(known.tables.map(tableOf), 0.95)
    expect(pooled.strata).toBe(3)
    relative(pooled.oddsRatio, known.mh_or, 1e-12)
    relative(pooled.interval.low, known.ci95[0], 1e-8)
    relative(pooled.interval.high, known.ci95[1], 1e-8)
    relative(pooled.chiSquareCorrected, known.chi2_cc, 1e-9)
    relative(pooled.pCorrected, known.p_cc, 1e-8)
  })

  it('MH-3 smoking in eight cities: chi-square 280.1375, ratio 2.1745 (Liu 1992; Agresti 1996 ch. 3)', () => {
    const known = vectors.mh_china_smoking
    const pooled = mantelHaenszel(known.tables.map(tableOf), 0.95)
    relative(pooled.chiSquare, known.cmh_no_cc, 1e-8)
    relative(pooled.oddsRatio, known.mh_or, 1e-8)
    relative(pooled.interval.low, known.ci95[0], 1e-8)
    relative(pooled.interval.high, known.ci95[1], 1e-8)
  })

  it('MH-4 where no stratum says anything: ratio null, interval open, chi-square 0, p 1', () => {
    const nothing = {
      oddsRatio: null,
      interval: { low: 0, high: Infinity },
      chiSquare: 0,
      p: 1,
      chiSquareCorrected: 0,
      pCorrected: 1,
      strata: 0,
    }
    expect(mantelHaenszel([], 0.95)).toEqual(nothing)
    expect(
      mantelHaenszel(
        [
          tableOf([
            [0, 0],
            [2, 3],
          ]),
        ],
        0.95,
      ),
    ).toEqual(nothing)
  })
})

describe('many p-values', () => {
  it('BH-1 the fifteen of Benjamini and Hochberg 1995: four stand at 0.05', () => {
    const { p_values, bh_adjusted, q } = vectors.bh1995
    const adjusted = benjaminiHochberg(p_values)
    adjusted.forEach((p, i) => expect(p).toBeCloseTo(bh_adjusted[i] ?? NaN, 9))
    expect(adjusted.filter((p) => p <= q)).toHaveLength(4)
  })

  it('BH-2 none falls, none passes 1, the order stays, and a single one is itself', () => {
    let ties = 0
    const share = fc.oneof(fc.double({ min: 0, max: 1, noNaN: true }), fc.constant(0.04))
    fc.assert(
      fc.property(fc.array(share, { minLength: 1, maxLength: 20 }), (ps) => {
        const adjusted = benjaminiHochberg(ps)
        ps.forEach((p, i) => {
          expect(adjusted[i]).toBeGreaterThanOrEqual(p)
          expect(adjusted[i]).toBeLessThanOrEqual(1)
          ps.forEach((other, j) => {
            if (other === p && i !== j) ties++
            if (other >= p) expect(adjusted[j] ?? NaN).toBeGreaterThanOrEqual(adjusted[i] ?? NaN)
          })
        })
        if (ps.length === 1) expect(adjusted).toEqual(ps)
      }),
      { seed: 2 },
    )
    expect(ties).toBeGreaterThan(10)
    expect(benjaminiHochberg([])).toEqual([])
  })

  it('BH-3 what is no share is refused by its place', () => {
    expect(() => benjaminiHochberg([0.1, NaN])).toThrow('pValues[1] must be 0 to 1')
  })
})

describe('rank correlation', () => {
  it('SPEARMAN-1 lightness and quality of tuna: rho 0.6, exact p 0.0968 and 0.0484 (Hollander and Wolfe p. 187; R)', () => {
    const { x, y, rho, exact_p_two_sided, exact_p_greater } = vectors.spearman_tuna
    const tested = spearmanExact(x, y)
    expect(tested.rho).toBeCloseTo(rho, 12)
    expect(tested.pTwoSided).toBeCloseTo(exact_p_two_sided, 10)
    expect(tested.pGreater).toBeCloseTo(exact_p_greater, 10)
  })

  it('SPEARMAN-2 only order counts, ties share their middle, and no order is no correlation', () => {
    expect(midRanks([5, 1, 5, 2])).toEqual([3.5, 1, 3.5, 2])
    expect(spearmanExact([1, 2, 3, 4], [10, 100, 1000, 1e9])).toEqual({
      rho: 1,
      pTwoSided: 2 / 24,
      pGreater: 1 / 24,
    })
    expect(spearmanExact([1, 1, 1], [1, 2, 3])).toEqual({ rho: 0, pTwoSided: 1, pGreater: 1 })
    expect(() => spearmanExact([1, NaN], [1, 2])).toThrow('x[1] must be a finite number')
    expect(() => spearmanExact([1, 2, 3], [1, 2])).toThrow('x and y must have the same length')
  })
})

describe('chi-square', () => {
  it('CHI-2 tail and quantile are each other turned round, also far out', () => {
    for (const p of [0.5, 0.05, 1e-3])
      expect(chiSquareTail(chiSquareQuantile(1 - p, 3), 3) / p).toBeCloseTo(1, 8)
    // Two degrees have a closed form: e to minus half.
    for (const x of [0, 1, 40, 1000]) expect(chiSquareTail(x, 2)).toBeCloseTo(Math.exp(-x / 2), 12)
    expect(chiSquareTail(600, 2) / Math.exp(-300)).toBeCloseTo(1, 9)
    expect(chiSquareTail(Infinity, 1)).toBe(0)
  })
})
