import { expect, it } from 'vitest'
import { scoreExact } from '../../scorecard/exact-truth.ts'
import { scoreRegression } from '../../scorecard/regression-truth.ts'
import { scoreNullPages, scorePower } from '../../scorecard/verdict-truth.ts'

it('TRUTH-1 by enumeration: exact tests have a size of 5 % at most, exact intervals cover 95 % at least', () => {
  const score = scoreExact([
    [5, 10],
    [9, 12],
  ])
  expect(score.cases).toBe(84)
  expect(score.largestSize).toBeLessThanOrEqual(0.05)
  expect(score.largestSize).toBeGreaterThan(0.001)
  expect(score.leastCoverage).toBeGreaterThanOrEqual(0.95)
  // Mid-p promises about, not at least: it is the tighter.
  expect(score.leastMidPCoverage).toBeLessThan(score.leastCoverage)
})

it('TRUTH-2 intervals of the penalised regression cover, and none is lost (a few runs; 5,000 in the scorecard)', () => {
  const { covered, runs, lost } = scoreRegression({
    runs: 200,
    nights: 120,
    intercept: -2.5,
    slope: 0.7,
    seed: 9,
  })
  expect(lost).toBe(0)
  // Of 200 at 95 %: under 182 comes less than once in a hundred.
  expect(covered).toBeGreaterThanOrEqual(182)
  expect(covered).toBeLessThan(runs)
})

it('TRUTH-3 few pages claim something where nothing was planted, most where much was', () => {
  const nothing = scoreNullPages(27, { draws: 199, seed: 77 })
  expect(nothing.meanClogs).toBeGreaterThan(10)
  // At 5 % of 27 pages, more than five come less than once in two hundred.
  expect(nothing.claiming).toBeLessThanOrEqual(5)
  const planted = scorePower(4, { draws: 199, seed: 88, clogShare: 0.03, dryFactor: 3 })
  expect(planted.found).toBeGreaterThanOrEqual(3)
})
