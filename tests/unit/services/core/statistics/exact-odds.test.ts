import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { z } from 'zod'
import {
  exactPooled,
  fisherExact,
  woolfOdds,
  type TwoByTwo,
} from '../../../../../services/core/statistics/two-by-two.ts'
import { cellsSchema, referenceJson, tableOf } from '../../../../parts/stats-vectors.ts'

const pair = z.tuple([z.number(), z.number()])
const vectors = referenceJson(
  'stats_vectors.json',
  z.object({
    fisher_tea: z.object({
      table: cellsSchema,
      p_greater: z.number(),
      p_two_sided: z.number(),
      cond_mle_or: z.number(),
      ci95: pair,
    }),
    fisher_convictions: z.object({
      table: cellsSchema,
      p_less_fraction: pair,
      p_two_sided: z.number(),
      cond_mle_or: z.number(),
      ci95: pair,
      ci99: pair,
    }),
    aspirin_woolf: z.object({
      table: cellsSchema,
      or: z.number(),
      woolf_ci95: pair,
      exact_cond_or: z.number(),
      exact_ci95: pair,
    }),
    mh_rabbits: z.object({ tables: z.array(cellsSchema), exact_p: z.number(), exact_or: z.number() }),
    case_crossover_redelmeier: z.object({ exact_ci95: pair }),
    matched_pairs_la_endometrial: z.object({ exact_ci95: pair, exact_p: z.number() }),
  }),
)

const relative = (value: number | null, expected: number, within: number): void =>
  expect(Math.abs((value ?? NaN) / expected - 1)).toBeLessThan(within)

/** R looks for its roots to within 1.2e-4, on the ratio or on its inverse: so its printed figures are as good as that. */
const asR = (value: number | null, expected: number): void => {
  const error = expected < 1 ? (value ?? NaN) - expected : 1 / (value ?? NaN) - 1 / expected
  expect(Math.abs(error)).toBeLessThan(1.3e-4)
}

const anyTable = fc
  .tuple(fc.nat({ max: 12 }), fc.nat({ max: 12 }), fc.nat({ max: 12 }), fc.nat({ max: 12 }))
  .map(([a, b, c, d]) =>
    tableOf([
      [a, b],
      [c, d],
    ]),
  )

/** Pairs of which one was exposed and the other not: a stratum each. */
const discordantPairs = (caseExposed: number, otherExposed: number): TwoByTwo[] => [
  ...Array.from({ length: caseExposed }, () =>
    tableOf([
      [1, 0],
      [0, 1],
    ]),
  ),
  ...Array.from({ length: otherExposed }, () =>
    tableOf([
      [0, 1],
      [1, 0],
    ]),
  ),
]

describe('the exact test of one table', () => {
  it('FISHER-1 tea tasting: p 0.2429 and 0.4857, ratio 6.408, interval 0.2117 to 621.9 (Agresti 1990 p. 61; R)', () => {
    const { table, p_greater, p_two_sided, cond_mle_or, ci95 } = vectors.fisher_tea
    const tested = fisherExact(tableOf(table), 0.95)
    relative(tested.pGreater, p_greater, 1e-9)
    relative(tested.pTwoSided, p_two_sided, 1e-9)
    asR(tested.oddsRatio, cond_mle_or)
    asR(tested.interval.low, ci95[0])
    asR(tested.interval.high, ci95[1])
  })

  it('FISHER-2 convictions of twins: p 619/1330665, ratio 0.0469, intervals at 95 and 99 % (Fisher 1962; R)', () => {
    const { table, p_less_fraction, p_two_sided, cond_mle_or, ci95, ci99 } = vectors.fisher_convictions
    const tested = fisherExact(tableOf(table), 0.95)
    relative(tested.pLess, p_less_fraction[0] / p_less_fraction[1], 1e-10)
    relative(tested.pTwoSided, p_two_sided, 1e-9)
    asR(tested.oddsRatio, cond_mle_or)
    asR(tested.interval.low, ci95[0])
    asR(tested.interval.high, ci95[1])
    const wider = fisherExact(tableOf(table), 0.99).interval
    asR(wider.low, ci99[0])
    asR(wider.high, ci99[1])
  })

  it('FISHER-3 aspirin: conditional ratio 1.83199, exact interval 1.4324 to 2.3539 (Agresti 1996; R)', () => {
    const tested = fisherExact(tableOf(vectors.aspirin_woolf.table), 0.95)
    asR(tested.oddsRatio, vectors.aspirin_woolf.exact_cond_or)
    asR(tested.interval.low, vectors.aspirin_woolf.exact_ci95[0])
    asR(tested.interval.high, vectors.aspirin_woolf.exact_ci95[1])
  })

  it('FISHER-8 at the ends of the interval the tail is half of what is left, summed in whole numbers', () => {
    // Twins: 2 of 17 against 10 of 13; choose(17, x) choose(13, 12 - x), as exact integers.
    const choose = (n: number, k: number): number =>
      Math.round(Array.from({ length: k }, (_, i) => (n - i) / (i + 1)).reduce((a, b) => a * b, 1))
    const { interval } = fisherExact(tableOf(vectors.fisher_convictions.table), 0.95)
    const upTo2 = (ratio: number): number => {
      const weights = Array.from({ length: 13 }, (_, x) => choose(17, x) * choose(13, 12 - x) * ratio ** x)
      const total = weights.reduce((a, b) => a + b, 0)
      return weights.slice(0, 3).reduce((a, b) => a + b, 0) / total
    }
    expect(upTo2(interval.high)).toBeCloseTo(0.025, 10)
    const own = choose(17, 2) * choose(13, 10) * interval.low ** 2
    const all = Array.from({ length: 13 }, (_, x) => choose(17, x) * choose(13, 12 - x) * interval.low ** x)
    expect(1 - upTo2(interval.low) + own / all.reduce((a, b) => a + b, 0)).toBeCloseTo(0.025, 10)
  })

  it('FISHER-4 what is exchanged is turned round: ratio and interval invert, two-sided p stays', () => {
    let [finite, open] = [0, 0]
    fc.assert(
      fc.property(anyTable, (t) => {
        const one = fisherExact(t, 0.95)
        const other = fisherExact(
          {
            exposedHits: t.restHits,
            exposedMisses: t.restMisses,
            restHits: t.exposedHits,
            restMisses: t.exposedMisses,
          },
          0.95,
        )
        expect(other.pTwoSided).toBeCloseTo(one.pTwoSided, 9)
        expect(other.pLess).toBeCloseTo(one.pGreater, 9)
        if (one.oddsRatio === null) return expect(other.oddsRatio).toBeNull()
        if (one.oddsRatio > 0 && one.oddsRatio < Infinity) {
          finite++
          relative(other.oddsRatio, 1 / one.oddsRatio, 1e-8)
          relative(other.interval.low, 1 / one.interval.high, 1e-8)
        } else open++
      }),
      { seed: 4 },
    )
    expect(finite).toBeGreaterThan(20)
    expect(open).toBeGreaterThan(2)
  })

  it('FISHER-5 never NaN: every table has a defined answer, and the interval holds the ratio; mid-p is the tighter', () => {
    let silent = 0
    fc.assert(
      fc.property(anyTable, (t) => {
        const { oddsRatio, interval, midPInterval, ...ps } = fisherExact(t, 0.95)
        for (const p of Object.values(ps)) expect(p >= 0 && p <= 1).toBe(true)
        expect(interval.low <= midPInterval.low && midPInterval.high <= interval.high).toBe(true)
        if (oddsRatio === null) {
          silent++
          expect(interval).toEqual({ low: 0, high: Infinity })
          expect(ps.pTwoSided).toBe(1)
        } else {
          expect(interval.low).toBeLessThanOrEqual(oddsRatio)
          expect(interval.high).toBeGreaterThanOrEqual(oddsRatio)
        }
      }),
      { seed: 5, numRuns: 300 },
    )
    expect(silent).toBeGreaterThan(5)
  })

  it('FISHER-6 what is no count is refused with its name', () => {
    const bad = { exposedHits: 1, exposedMisses: NaN, restHits: 1, restMisses: 1 }
    expect(() => fisherExact(bad, 0.95)).toThrow('exposedMisses must be a whole number from 0 on')
    expect(() => fisherExact({ ...bad, exposedMisses: 1 }, 95)).toThrow('confidence must be above 0')
  })

  it('FISHER-7 p and interval agree: 1 lies outside the interval when a tail is under half of what is left', () => {
    let outside = 0
    fc.assert(
      fc.property(anyTable, (t) => {
        const { interval, pGreater, pLess } = fisherExact(t, 0.95)
        const isOutside = interval.low > 1 || interval.high < 1
        if (isOutside) outside++
        expect(isOutside).toBe(Math.min(pGreater, pLess) < 0.025)
      }),
      { seed: 7, numRuns: 400 },
    )
    expect(outside).toBeGreaterThan(20)
  })
})

describe('the exact test over strata', () => {
  it('POOLED-1 penicillin and rabbits: exact p 0.0399, ratio 10.36 (R mantelhaen.test help prints 0.040)', () => {
    const pooled = exactPooled(vectors.mh_rabbits.tables.map(tableOf), 0.95)
    relative(pooled?.pTwoSided ?? null, vectors.mh_rabbits.exact_p, 1e-7)
    asR(pooled?.oddsRatio ?? null, vectors.mh_rabbits.exact_or)
  })

  it('POOLED-2 case-crossover, 157 against 24: exact 4.240 to 10.515 (Redelmeier and Tibshirani 1997, counts from memory)', () => {
    const pooled = exactPooled(discordantPairs(157, 24), 0.95)
    relative(pooled?.oddsRatio ?? null, 157 / 24, 1e-9)
    relative(pooled?.interval.low ?? null, vectors.case_crossover_redelmeier.exact_ci95[0], 1e-6)
    relative(pooled?.interval.high ?? null, vectors.case_crossover_redelmeier.exact_ci95[1], 1e-6)
  })

  it('POOLED-3 matched pairs of the Los Angeles study, 29 against 3: exact 2.996 to 49.59 (Breslow and Day 1980)', () => {
    const pooled = exactPooled(discordantPairs(29, 3), 0.95)
    const { exact_ci95, exact_p } = vectors.matched_pairs_la_endometrial
    relative(pooled?.interval.low ?? null, exact_ci95[0], 1e-6)
    relative(pooled?.interval.high ?? null, exact_ci95[1], 1e-6)
    relative(pooled?.pTwoSided ?? null, exact_p, 1e-6)
  })

  it('POOLED-4 a single stratum is that table; the order of strata and silent ones change nothing', () => {
    fc.assert(
      fc.property(fc.array(anyTable, { minLength: 1, maxLength: 5 }), (tables) => {
        const pooled = exactPooled(tables, 0.95)
        const turned = exactPooled(
          [
            tableOf([
              [0, 0],
              [3, 5],
            ]),
            ...tables.slice().reverse(),
          ],
          0.95,
        )
        expect(turned?.pTwoSided).toBeCloseTo(pooled?.pTwoSided ?? NaN, 9)
        const [only] = tables
        if (tables.length === 1 && only !== undefined) {
          expect(pooled?.pTwoSided).toBeCloseTo(fisherExact(only, 0.95).pTwoSided, 12)
        }
      }),
      { seed: 4 },
    )
  })

  it('POOLED-5 of no strata nothing is known', () => {
    expect(exactPooled([], 0.95)).toMatchObject({
      oddsRatio: null,
      pTwoSided: 1,
      interval: { low: 0, high: Infinity },
    })
  })
})

describe('the sample odds ratio', () => {
  it('WOOLF-1 aspirin: 1.832, 1.440 to 2.331 (Agresti 1996)', () => {
    const { or, woolf_ci95, table } = vectors.aspirin_woolf
    const { oddsRatio, interval } = woolfOdds(tableOf(table), 0.95)
    relative(oddsRatio, or, 1e-9)
    relative(interval.low, woolf_ci95[0], 1e-8)
    relative(interval.high, woolf_ci95[1], 1e-8)
  })

  it('WOOLF-2 a zero cell leaves the interval open, and 0 / 0 is null', () => {
    const open = { low: 0, high: Infinity }
    expect(
      woolfOdds(
        tableOf([
          [3, 0],
          [1, 5],
        ]),
        0.95,
      ),
    ).toEqual({ oddsRatio: Infinity, interval: open })
    expect(
      woolfOdds(
        tableOf([
          [0, 3],
          [1, 5],
        ]),
        0.95,
      ),
    ).toEqual({ oddsRatio: 0, interval: open })
    expect(
      woolfOdds(
        tableOf([
          [0, 0],
          [1, 5],
        ]),
        0.95,
      ),
    ).toEqual({ oddsRatio: null, interval: open })
  })
})
