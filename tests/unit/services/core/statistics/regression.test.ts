import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { z } from 'zod'
import { conditionalLogisticFit } from '../../../../../services/core/statistics/conditional-logistic.ts'
import { firthFit, firthShare } from '../../../../../services/core/statistics/firth.ts'
import { leastSquares } from '../../../../../services/core/statistics/least-squares.ts'
import { logisticFit, shareAt } from '../../../../../services/core/statistics/logistic.ts'
import { penalisedConditionalFit } from '../../../../../services/core/statistics/penalised-conditional.ts'
import { exactPooled } from '../../../../../services/core/statistics/two-by-two.ts'
import { numberIn, referenceTable } from '../../../../parts/reference-table.ts'
import { referenceJson, rowsOf, tableOf } from '../../../../parts/stats-vectors.ts'

const list = z.array(z.number())
const vectors = referenceJson(
  'stats_vectors.json',
  z.object({
    challenger_binary_23: z.object({
      temp_f: list,
      any_incident: list,
      b0: z.number(),
      b1: z.number(),
      se: list,
      null_dev: z.number(),
      dev: z.number(),
      p31F: z.number(),
    }),
    challenger_binomial_dalal: z.object({
      temp_f: list,
      failures_of_6: list,
      b0: z.number(),
      b1: z.number(),
      se: list,
      null_dev: z.number(),
      dev: z.number(),
      p31F: z.number(),
    }),
    challenger_orings_damage5: z.object({
      temp_f: list,
      damaged_of_6: list,
      b0: z.number(),
      b1: z.number(),
      se: list,
    }),
    challenger_24_montgomery: z.object({
      temp_f: list,
      any: list,
      b0: z.number(),
      b1: z.number(),
      se: list,
      G: z.number(),
    }),
    beetles_bliss: z.object({
      dose: list,
      n: list,
      killed: list,
      b0: z.number(),
      b1: z.number(),
      se: list,
      deviance: z.number(),
    }),
    matched_pairs_la_endometrial: z.object({ wald_ci95: list }),
    clogit_infert: z.object({ coef: list, se: list }),
    clogit_bdendo_1to4: z.object({
      est_only: z.object({ coef: z.number(), se: z.number() }),
      est_gall: z.object({ coef: list, se: list }),
    }),
  }),
)
const nist = referenceJson(
  'nist_strd.json',
  z.object({
    norris: z.object({
      x: list,
      y: list,
      b0: z.number(),
      b1: z.number(),
      sd_b0: z.number(),
      sd_b1: z.number(),
      resid_sd: z.number(),
    }),
    longley: z.object({
      rows: z.array(list),
      certified: list,
      certified_sd: list,
      resid_sd: z.number(),
    }),
  }),
)
const close = (value: number | undefined, expected: number, within: number): void =>
  expect(Math.abs((value ?? NaN) / expected - 1)).toBeLessThan(within)

describe('logistic regression', () => {
  const v = vectors
  const nine = v.challenger_binomial_dalal
  it.each([
    [
      'Challenger, 23 flights, any incident (7 of 23)',
      rowsOf(v.challenger_binary_23.temp_f, v.challenger_binary_23.any_incident, 1),
      v.challenger_binary_23,
    ],
    [
      'Challenger, 9 rings of 6 a flight (Dalal, Fowlkes and Hoadley 1989)',
      rowsOf(nine.temp_f, nine.failures_of_6, 6),
      nine,
    ],
    [
      'Challenger, 11 damaged rings of 6 a flight',
      rowsOf(v.challenger_orings_damage5.temp_f, v.challenger_orings_damage5.damaged_of_6, 6),
      v.challenger_orings_damage5,
    ],
    [
      'Challenger, 24 launches (Montgomery and Runger)',
      rowsOf(v.challenger_24_montgomery.temp_f, v.challenger_24_montgomery.any, 1),
      v.challenger_24_montgomery,
    ],
    [
      'beetles (Bliss 1935, data from memory)',
      rowsOf(v.beetles_bliss.dose, v.beetles_bliss.killed, v.beetles_bliss.n),
      v.beetles_bliss,
    ],
  ])('LOGISTIC-1 %s', (_, rows, { b0, b1, se }) => {
    const fit = logisticFit(rows)
    if (!fit.converged) throw new Error(fit.reason)
    close(fit.coefficients[0], b0, 1e-6)
    close(fit.coefficients[1], b1, 1e-6)
    // R stops at 1e-8 of the deviance, one step earlier.
    close(fit.standardErrors[0], se[0] ?? NaN, 1e-4)
    close(fit.standardErrors[1], se[1] ?? NaN, 1e-4)
  })

  it('LOGISTIC-2 deviances and the forecast for 31 degrees F are the published ones', () => {
    const known = v.challenger_binary_23
    const fit = logisticFit(rowsOf(known.temp_f, known.any_incident, 1))
    if (!fit.converged) throw new Error(fit.reason)
    close(fit.deviance, known.dev, 1e-8)
    close(fit.nullDeviance, known.null_dev, 1e-8)
    const [b0 = NaN, b1 = NaN] = fit.coefficients
    close(shareAt(b0 + 31 * b1), known.p31F, 1e-7)
    const beetles = logisticFit(rowsOf(v.beetles_bliss.dose, v.beetles_bliss.killed, v.beetles_bliss.n))
    if (!beetles.converged) throw new Error(beetles.reason)
    close(beetles.deviance, v.beetles_bliss.deviance, 1e-7)
    const launches = v.challenger_24_montgomery
    const runger = logisticFit(rowsOf(launches.temp_f, launches.any, 1))
    if (!runger.converged) throw new Error(runger.reason)
    close(runger.nullDeviance - runger.deviance, launches.G, 1e-7)
  })

  it('LOGISTIC-3 where there is no estimate the reason is a value', () => {
    expect(logisticFit(rowsOf([1, 2, 3, 4], [0, 0, 1, 1], 1))).toEqual({
      converged: false,
      reason: 'separated',
    })
    expect(logisticFit(rowsOf([1, 2, 2, 3], [0, 0, 1, 1], 1))).toEqual({
      converged: false,
      reason: 'separated',
    })
    expect(logisticFit(rowsOf([1, 2, 3], [0, 0, 0], 1))).toEqual({ converged: false, reason: 'separated' })
    expect(logisticFit(rowsOf([2, 2, 2], [0, 1, 1], 1))).toEqual({ converged: false, reason: 'collinear' })
    expect(logisticFit([])).toEqual({ converged: false, reason: 'noRows' })
    expect(() => logisticFit(rowsOf([NaN], [0], 1))).toThrow('rows[0].covariates[0] must be a finite number')
    expect(() => logisticFit(rowsOf([1], [2], 1))).toThrow('rows[0].hits must be 0 to trials')
  })
})

describe('Firth-penalised logistic regression', () => {
  it('FIRTH-1 of one table it is the log odds ratio with a half added to each cell (Firth 1993; Heinze and Schemper 2002)', () => {
    let zero = 0
    const count = fc.nat({ max: 15 })
    fc.assert(
      fc.property(count, count, count, count, (a, b, c, d) => {
        fc.pre(a + b > 0 && c + d > 0 && a + c > 0 && b + d > 0)
        if (a * b * c * d === 0) zero++
        const fit = firthFit(
          [
            { covariates: [1], hits: a, trials: a + b },
            { covariates: [0], hits: c, trials: c + d },
          ],
          0.95,
        )
        if (!fit.converged) throw new Error(fit.reason)
        const expected = Math.log(((a + 0.5) * (d + 0.5)) / ((b + 0.5) * (c + 0.5)))
        expect(fit.coefficients[1]).toBeCloseTo(expected, 5)
        const [interval] = fit.intervals
        expect(interval?.low ?? NaN).toBeLessThan(expected)
        expect(interval?.high ?? NaN).toBeGreaterThan(expected)
      }),
      { seed: 1 },
    )
    expect(zero).toBeGreaterThan(10)
  })

  it('FIRTH-2 the ends of the interval are where the p of that slope is what is left', () => {
    const { temp_f, any_incident } = vectors.challenger_binary_23
    const fit = firthFit(rowsOf(temp_f, any_incident, 1), 0.95)
    if (!fit.converged) throw new Error(fit.reason)
    const p = fit.pValues[0] ?? NaN
    // At confidence 1 - p the interval just reaches 0.
    const wider = firthFit(rowsOf(temp_f, any_incident, 1), 1 - p)
    if (!wider.converged) throw new Error(wider.reason)
    expect(wider.intervals[0]?.high).toBeCloseTo(0, 6)
    expect(p).toBeGreaterThan(0)
    expect(p).toBeLessThan(0.05)
  })

  it('FIRTH-3 with the corrected intercept as many are expected as came', () => {
    let checked = 0
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.double({ min: -3, max: 3, noNaN: true }), fc.boolean()), {
          minLength: 4,
          maxLength: 40,
        }),
        (nights) => {
          const hits = nights.filter(([, h]) => h).length
          const rows = rowsOf(
            nights.map(([x]) => x),
            nights.map(([, h]) => Number(h)),
            1,
          )
          const fit = firthFit(rows, 0.95)
          if (!fit.converged || hits === 0 || hits === nights.length) return
          checked++
          const expected = rows.reduce((s, r) => s + firthShare(fit, r.covariates), 0)
          expect(expected).toBeCloseTo(hits, 8)
        },
      ),
      { seed: 3 },
    )
    expect(checked).toBeGreaterThan(40)
  })

  it('FIRTH-4 unit and place of the covariate change nothing else, and rows may be taken together', () => {
    const x = [1, 2, 2, 3, 3, 4, 5, 6]
    const hits = [0, 0, 1, 0, 1, 0, 1, 1]
    const fit = firthFit(rowsOf(x, hits, 1), 0.95)
    const moved = firthFit(
      rowsOf(
        x.map((v) => 32 + 1.8 * v),
        hits,
        1,
      ),
      0.95,
    )
    const grouped = firthFit(rowsOf([1, 2, 3, 4, 5, 6], [0, 1, 1, 0, 1, 1], [1, 2, 2, 1, 1, 1]), 0.95)
    if (!fit.converged || !moved.converged || !grouped.converged) throw new Error('must converge')
    close(moved.coefficients[1], (fit.coefficients[1] ?? NaN) / 1.8, 1e-6)
    close(moved.intervals[0]?.high, (fit.intervals[0]?.high ?? NaN) / 1.8, 1e-6)
    close(grouped.coefficients[1], fit.coefficients[1] ?? NaN, 1e-6)
    close(grouped.intervals[0]?.low, fit.intervals[0]?.low ?? NaN, 1e-5)
  })

  it('FIRTH-5 of no hits none is expected; a covariate without spread gives no fit', () => {
    const fit = firthFit(rowsOf([1, 2, 3], [0, 0, 0], 1), 0.95)
    if (!fit.converged) throw new Error(fit.reason)
    expect(firthShare(fit, [2])).toBe(0)
    expect(firthFit(rowsOf([2, 2], [0, 1], 1), 0.95)).toEqual({ converged: false, reason: 'collinear' })
  })
})

/** Matched sets of a data file; the first column names the set, `case` is 1 for a case. */
function setsOf(file: string, [set, ...covariates]: readonly [string, ...string[]]) {
  const sets = new Map<number, { covariates: number[]; isCase: boolean }[]>()
  for (const row of referenceTable(file)) {
    const key = numberIn(row, set)
    const members = sets.get(key) ?? []
    members.push({ covariates: covariates.map((c) => numberIn(row, c)), isCase: numberIn(row, 'case') === 1 })
    sets.set(key, members)
  }
  return [...sets.values()]
}

describe('conditional logistic regression', () => {
  it('CLOGIT-1 of pairs it is the ratio of those that differ: 29 / 3, Wald 2.945 to 31.73 (Breslow and Day 1980)', () => {
    const pairOf = (caseValue: number, other: number) => [
      { covariates: [caseValue], isCase: true },
      { covariates: [other], isCase: false },
    ]
    const strata = [
      ...Array.from({ length: 29 }, () => pairOf(1, 0)),
      ...Array.from({ length: 3 }, () => pairOf(0, 1)),
      ...Array.from({ length: 27 }, () => pairOf(1, 1)),
    ]
    const fit = conditionalLogisticFit(strata)
    if (!fit.converged) throw new Error(fit.reason)
    const [b = NaN] = fit.coefficients
    const [e = NaN] = fit.standardErrors
    close(Math.exp(b), 29 / 3, 1e-6)
    close(Math.exp(b - 1.959963985 * e), vectors.matched_pairs_la_endometrial.wald_ci95[0] ?? NaN, 1e-6)
    close(Math.exp(b + 1.959963985 * e), vectors.matched_pairs_la_endometrial.wald_ci95[1] ?? NaN, 1e-6)
  })

  // R's own iteration stops short of the last digits, so a millionth is what its figures bear.
  it('CLOGIT-7 abortions and infertility, 83 sets: 1.98588 (0.35244) and 1.40901 (0.36071) (R, infert)', () => {
    const fit = conditionalLogisticFit(setsOf('infert.csv', ['stratum', 'spontaneous', 'induced']))
    if (!fit.converged) throw new Error(fit.reason)
    fit.coefficients.forEach((b, j) => close(b, vectors.clogit_infert.coef[j] ?? NaN, 1e-6))
    fit.standardErrors.forEach((e, j) => close(e, vectors.clogit_infert.se[j] ?? NaN, 1e-6))
  })

  it('CLOGIT-8 the Los Angeles study with four others each: 2.0738 (0.4208); with gall bladder 2.1148 and 1.2747 (Breslow and Day 1980, by R Epi)', () => {
    const { est_only: alone, est_gall: both } = vectors.clogit_bdendo_1to4
    const one = conditionalLogisticFit(setsOf('bdendo.csv', ['set', 'est']))
    const two = conditionalLogisticFit(setsOf('bdendo.csv', ['set', 'est', 'gall']))
    if (!one.converged || !two.converged) throw new Error('no fit')
    close(one.coefficients[0] ?? NaN, alone.coef, 1e-6)
    close(one.standardErrors[0] ?? NaN, alone.se, 1e-6)
    two.coefficients.forEach((b, j) => close(b, both.coef[j] ?? NaN, 1e-6))
    two.standardErrors.forEach((e, j) => close(e, both.se[j] ?? NaN, 1e-6))
  })

  it('CLOGIT-2 several cases in a stratum: a binary covariate gives the exact conditional estimate', () => {
    const tables = [
      tableOf([
        [2, 3],
        [1, 6],
      ]),
      tableOf([
        [1, 4],
        [2, 3],
      ]),
      tableOf([
        [2, 1],
        [0, 7],
      ]),
    ]
    const strata = tables.map((t) => [
      ...Array.from({ length: t.exposedHits }, () => ({ covariates: [1], isCase: true })),
      ...Array.from({ length: t.exposedMisses }, () => ({ covariates: [1], isCase: false })),
      ...Array.from({ length: t.restHits }, () => ({ covariates: [0], isCase: true })),
      ...Array.from({ length: t.restMisses }, () => ({ covariates: [0], isCase: false })),
    ])
    const fit = conditionalLogisticFit(strata)
    if (!fit.converged) throw new Error(fit.reason)
    close(Math.exp(fit.coefficients[0] ?? NaN), exactPooled(tables, 0.95)?.oddsRatio ?? NaN, 1e-6)
  })

  it('CLOGIT-3 one case that stands above all others: the plain estimate runs away, the penalised one does not', () => {
    const stratum = [3, 1, 0.5, 2, 1.5].map((value, i) => ({ value, isCase: i === 0 }))
    const plain = conditionalLogisticFit([
      stratum.map(({ value, isCase }) => ({ covariates: [value], isCase })),
    ])
    expect(plain).toEqual({ converged: false, reason: 'separated' })
    const penalised = penalisedConditionalFit([stratum], 0.95)
    if (!penalised.converged) throw new Error(penalised.reason)
    expect(penalised.coefficient).toBeGreaterThan(0)
    expect(penalised.interval.low).toBeLessThan(0)
  })

  it('CLOGIT-4 penalised and plain draw together as strata grow in number, and turn with the sign', () => {
    const strata = Array.from({ length: 400 }, (_, s) =>
      [0.3, 1.1, 2.4, 0.9].map((value, i) => ({
        value: value + (s % 7),
        isCase: i === (s * 7 + (s >> 2)) % 4,
      })),
    )
    const plain = conditionalLogisticFit(
      strata.map((s) => s.map(({ value, isCase }) => ({ covariates: [value], isCase }))),
    )
    const penalised = penalisedConditionalFit(strata, 0.95)
    const turned = penalisedConditionalFit(
      strata.map((s) => s.map((m) => ({ ...m, value: -m.value }))),
      0.95,
    )
    if (!plain.converged || !penalised.converged || !turned.converged) throw new Error('must converge')
    expect(penalised.coefficient).toBeCloseTo(plain.coefficients[0] ?? NaN, 2)
    expect(turned.coefficient).toBeCloseTo(-penalised.coefficient, 8)
    expect(turned.interval.low).toBeCloseTo(-penalised.interval.high, 8)
  })

  it('CLOGIT-5 penalised pairs have a half added to each side (Heinze and Puhr 2010 reduces to Firth)', () => {
    const strata = Array.from({ length: 9 }, (_, s) => [
      { value: s < 8 ? 1 : 0, isCase: true },
      { value: s < 8 ? 0 : 1, isCase: false },
    ])
    const fit = penalisedConditionalFit(strata, 0.95)
    if (!fit.converged) throw new Error(fit.reason)
    close(Math.exp(fit.coefficient), 8.5 / 1.5, 1e-8)
  })

  it('CLOGIT-6 where nothing can be compared the reason is a value; NaN is refused by name', () => {
    expect(penalisedConditionalFit([], 0.95)).toEqual({ converged: false, reason: 'noRows' })
    const flat = [1, 1].map((value, i) => ({ value, isCase: i === 0 }))
    expect(penalisedConditionalFit([flat], 0.95)).toEqual({ converged: false, reason: 'collinear' })
    expect(() => penalisedConditionalFit([[{ value: NaN, isCase: true }]], 0.95)).toThrow(
      'strata[0][0].covariates',
    )
  })
})

describe('linear least squares', () => {
  it('LS-1 Norris of NIST StRD: at least 9 certified digits', () => {
    const { x, y, b0, b1, sd_b0, sd_b1, resid_sd } = nist.norris
    const fit = leastSquares([x.map(() => 1), x], y)
    close(fit?.coefficients[0], b0, 1e-9)
    close(fit?.coefficients[1], b1, 1e-12)
    close(fit?.standardErrors[0], sd_b0, 1e-9)
    close(fit?.standardErrors[1], sd_b1, 1e-9)
    close(fit?.residualDeviation, resid_sd, 1e-9)
  })

  it('LS-2 Longley of NIST StRD, whose columns are nearly sums of each other: at least 9 certified digits', () => {
    const { rows, certified, certified_sd, resid_sd } = nist.longley
    const columns = [rows.map(() => 1), ...[1, 2, 3, 4, 5, 6].map((j) => rows.map((r) => r[j] ?? NaN))]
    const fit = leastSquares(
      columns,
      rows.map((r) => r[0] ?? NaN),
    )
    certified.forEach((b, j) => close(fit?.coefficients[j], b, 1e-9))
    certified_sd.forEach((s, j) => close(fit?.standardErrors[j], s, 1e-9))
    close(fit?.residualDeviation, resid_sd, 1e-9)
  })

  it('LS-3 columns that are sums of each other give none', () => {
    expect(
      leastSquares(
        [
          [1, 1, 1],
          [2, 2, 2],
        ],
        [1, 2, 3],
      ),
    ).toBeNull()
    expect(leastSquares([[1], [2]], [1])).toBeNull()
    expect(() => leastSquares([[1, NaN, 2]], [1, 2, 3])).toThrow('columns[0][1] must be a finite number')
  })
})
