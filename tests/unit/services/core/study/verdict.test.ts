import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { PenalisedConditionalFit } from '../../../../../services/core/statistics/penalised-conditional.ts'
import { EXPOSURES } from '../../../../../services/core/study/exposure.ts'
import { moreNightsText, nightsToSeeDoubling } from '../../../../../services/core/study/sample-size.ts'
import { verdictOf, type Evidence } from '../../../../../services/core/study/verdict.ts'

const crossoverOf = (low: number, high: number): PenalisedConditionalFit => ({
  converged: true,
  coefficient: (low + high) / 2,
  interval: { low, high },
  p: 0.01,
  strata: 10,
})
const evidence: Evidence = {
  exposure: 'doseKpaH',
  observed: { nights: 400, clogs: 20, exposedNights: 120 },
  correctedP: 0.01,
  excess: 3,
  crossover: crossoverOf(0.1, 0.6),
}

describe('what may be said', () => {
  it('VERDICT-1 with 6 clogs this cannot tell, however small the p', () => {
    const verdict = verdictOf({ ...evidence, observed: { ...evidence.observed, clogs: 6 }, correctedP: 1e-9 })
    expect(verdict).toMatchObject({ kind: 'cannotTell', direction: 0 })
    expect(verdict.text).toMatch(/^With 6 clogs this cannot tell\. About \d+ more nights with a check/)
    expect(verdictOf({ ...evidence, observed: { ...evidence.observed, clogs: 1 } }).text).toMatch(
      /^With 1 clog this/,
    )
    expect(verdictOf({ ...evidence, observed: { ...evidence.observed, clogs: 0 } }).text).toMatch(
      /^Without a clog/,
    )
  })

  it('VERDICT-2 without resampling nothing is claimed', () => {
    expect(verdictOf({ ...evidence, correctedP: null })).toMatchObject({ kind: 'notTested', direction: 0 })
  })

  it('VERDICT-3 above 0.05 no link is seen, which is not the same as none', () => {
    const { kind, text } = verdictOf({ ...evidence, correctedP: 0.051 })
    expect(kind).toBe('nothingSeen')
    expect(text).toContain('That does not show that there is none.')
  })

  it('VERDICT-4 at or below it they go together, and the cause stays open', () => {
    expect(verdictOf({ ...evidence, correctedP: 0.05 })).toEqual({
      exposure: 'doseKpaH',
      kind: 'goesTogether',
      direction: 1,
      text: 'New clogs came more often after nights with more drying (20 clogs in 400 nights). That does not yet show the cause.',
    })
  })

  it('VERDICT-5 not seen within the month: the season may be behind it', () => {
    for (const crossover of [crossoverOf(-0.2, 0.6), crossoverOf(-0.6, -0.1)]) {
      expect(verdictOf({ ...evidence, crossover }).text).toContain('the season may be behind it')
    }
    expect(verdictOf({ ...evidence, crossover: { converged: false, reason: 'noRows' } }).text).toContain(
      'season',
    )
    expect(verdictOf(evidence).text).not.toContain('season')
  })

  it('VERDICT-6 away from the harm we expect is a surprise', () => {
    expect(verdictOf({ ...evidence, excess: -3, crossover: crossoverOf(-0.6, -0.1) })).toMatchObject({
      kind: 'againstExpectation',
      direction: -1,
    })
    expect(verdictOf({ ...evidence, exposure: 'minHumidityPct', excess: -3 }).kind).toBe('goesTogether')
  })

  it('VERDICT-7 never stronger than the numbers: a claim needs eight clogs and a corrected p of 0.05 at most', () => {
    let claims = 0
    fc.assert(
      fc.property(
        fc.constantFrom(...EXPOSURES),
        fc.nat({ max: 30 }),
        fc.option(fc.double({ min: 0, max: 0.2, noNaN: true })),
        fc.double({ min: -5, max: 5, noNaN: true }),
        (exposure, clogs, correctedP, excess) => {
          const observed = { nights: 100, clogs, exposedNights: 30 }
          const verdict = verdictOf({ ...evidence, exposure, observed, correctedP, excess })
          expect(verdict.text).not.toMatch(/causes|caused|proves|because|NaN|Infinity|null/)
          if (verdict.direction === 0) {
            expect(verdict.text).not.toContain('more often')
            return
          }
          claims++
          expect(clogs).toBeGreaterThanOrEqual(8)
          expect(correctedP ?? 1).toBeLessThanOrEqual(0.05)
        },
      ),
      { seed: 7, numRuns: 400 },
    )
    expect(claims).toBeGreaterThan(30)
  })
})

describe('how many nights it takes', () => {
  it('SIZE-1 two groups alike, 10 % against 20 %: about 200 each (Fleiss, Levin and Paik 2003, table A.4 less its correction)', () => {
    // Formula by hand: (1.95996 sqrt(2 0.15 0.85) + 0.84162 sqrt(0.09 + 0.16))^2 / 0.01 = 198.9 for each group.
    const nights = nightsToSeeDoubling({ nights: 1000, clogs: 150, exposedNights: 500 })
    expect(nights).toBeGreaterThanOrEqual(397)
    expect(nights).toBeLessThanOrEqual(400)
  })

  it('SIZE-2 fewer clogs or a rarer exposure need more nights; where nothing can be told it is null', () => {
    const of = (clogs: number, exposedNights: number): number =>
      nightsToSeeDoubling({ nights: 1000, clogs, exposedNights }) ?? NaN
    expect(of(10, 300)).toBeGreaterThan(of(30, 300))
    expect(of(30, 50)).toBeGreaterThan(of(30, 300))
    expect(of(0, 300)).toBeGreaterThan(of(1, 300))
    expect(nightsToSeeDoubling({ nights: 0, clogs: 0, exposedNights: 0 })).toBeNull()
    expect(nightsToSeeDoubling({ nights: 9, clogs: 1, exposedNights: 9 })).toBeNull()
    expect(moreNightsText({ nights: 9, clogs: 1, exposedNights: 9 })).toBe('')
  })

  it('SIZE-3 the sentence has two digits, and says so when there are enough', () => {
    expect(moreNightsText({ nights: 100, clogs: 6, exposedNights: 30 })).toMatch(
      /^About \d{1,2}0* more nights/,
    )
    expect(moreNightsText({ nights: 5000, clogs: 600, exposedNights: 2500 })).toMatch(
      /^A doubling would probably/,
    )
  })
})
