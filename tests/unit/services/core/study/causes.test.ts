import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { seededDraw } from '../../../../../services/core/statistics/random.ts'
import { atLimit } from '../../../../../services/core/study/at-limit.ts'
import { beforeClogs } from '../../../../../services/core/study/before-clog.ts'
import { caseCrossover } from '../../../../../services/core/study/case-crossover.ts'
import { causesOf } from '../../../../../services/core/study/causes.ts'
import { outcomesOf, type NozzleCheck } from '../../../../../services/core/study/clogs.ts'
import type { NightExposure } from '../../../../../services/core/study/exposure.ts'
import { confirm } from '../../../../../services/core/study/frozen-verdict.ts'
import { chooseLimit } from '../../../../../services/core/study/limit-choice.ts'
import { countedNights, joinNights, type Series } from '../../../../../services/core/study/nights.ts'
import { weekTest } from '../../../../../services/core/study/week-blocks.ts'
import { checkAfter, exposureOn, nightDate } from '../../../../parts/study-nights.ts'
import { simulateClogShop } from '../../../../scorecard/clog-shops.ts'

const seriesOf = (exposures: readonly NightExposure[], checks: readonly NozzleCheck[]): Series[] =>
  joinNights(exposures, outcomesOf(checks))

const shop = (dryFactor: number, seed = 3): Series[] => {
  const { exposures, checks } = simulateClogShop({ machines: 2, days: 365, clogShare: 0.03, dryFactor, seed })
  return seriesOf(exposures, checks)
}
const resampling = { draws: 299, seed: 5 }
const limits = { minHumidityPct: 40, doseKpaH: 19 }

/** Every night checked and cleaned; clogs on the nights named. */
const checked = (nights: number, clogged: readonly number[], channelGroupId = 'white'): NozzleCheck[] =>
  Array.from({ length: nights }, (_, n) => n).flatMap((n) => {
    const isClog = clogged.includes(n)
    const first = checkAfter(n, isClog ? 3 : 0, { channelGroupId })
    return isClog ? [first, { ...first, atMs: first.atMs + 60_000, missingNozzles: 0 }] : [first]
  })

describe('nights put together', () => {
  it('JOIN-1 JOIN-3 nights acted upon, unchecked or unknown do not count', () => {
    const [white] = seriesOf(
      [
        exposureOn(0),
        exposureOn(1),
        exposureOn(2, { actedUpon: true }),
        exposureOn(3, { doseKpaH: null }),
        exposureOn(4),
        exposureOn(9),
      ],
      checked(5, [4]),
    )
    const counted = white === undefined ? [] : countedNights(white, 'doseKpaH')
    expect(counted.map((n) => n.isClog)).toEqual([false, true])
  })

  it('JOIN-2 the order in which nights come changes nothing; a night that comes twice or is NaN is refused', () => {
    const nights = [exposureOn(0), exposureOn(1), exposureOn(2, { channelGroupId: 'colour' })]
    expect(seriesOf(nights.slice().reverse(), checked(3, []))).toEqual(seriesOf(nights, checked(3, [])))
    expect(() => joinNights([exposureOn(1), exposureOn(1)], [])).toThrow(
      `the night of ${nightDate(1)} of white came twice`,
    )
    expect(() => joinNights([exposureOn(1, { doseKpaH: NaN })], [])).toThrow('doseKpaH of white')
  })
})

describe('at a limit', () => {
  it('LIMIT-1 LIMIT-2 a night on the limit is within; groups are compared within themselves', () => {
    const nights = [
      [20, 19, 18],
      [30, 25],
    ].map((values) => values.map((value, i) => ({ value, isClog: i === 0, day: i, month: 0 })))
    const { table, pooled } = atLimit(nights, 'doseKpaH', 19)
    expect(table).toEqual({ exposedHits: 2, exposedMisses: 1, restHits: 0, restMisses: 2 })
    // The second group lies beyond the limit altogether and says nothing.
    expect(pooled.strata).toBe(1)
    expect(atLimit(nights, 'minHumidityPct', 19).table.exposedMisses).toBe(1)
  })
})

describe('weeks exchanged', () => {
  it('WEEK-1 a planted cause is found, its side told, and the same seed gives the same p', () => {
    const nights = shop(2.2)
    const dose = weekTest(nights, { exposure: 'doseKpaH', score: { kind: 'rank' } }, resampling)
    const air = weekTest(nights, { exposure: 'minHumidityPct', score: { kind: 'rank' } }, resampling)
    expect(dose?.p).toBeLessThan(0.02)
    expect(dose?.excess).toBeGreaterThan(0)
    expect(air?.excess).toBeLessThan(0)
    expect(weekTest(nights, { exposure: 'doseKpaH', score: { kind: 'rank' } }, resampling)).toEqual(dose)
  })

  it('WEEK-2 what lifts all nights of a group, or stretches its scale, changes nothing', () => {
    const nights = shop(1.3)
    const lifted = nights.map((s) => ({
      ...s,
      exposures: { ...s.exposures, doseKpaH: s.exposures.doseKpaH.map((v) => 100 + 3 * v) },
    }))
    const of = (all: readonly Series[]) =>
      weekTest(all, { exposure: 'doseKpaH', score: { kind: 'rank' } }, resampling)
    expect(of(lifted)).toEqual(of(nights))
  })

  it('WEEK-2 WEEK-3 WEEK-6 the statistic is the sum over clogs of their score above that of checked nights', () => {
    const doses = Array.from({ length: 28 }, (_, n) => (n * 5) % 28)
    const nights = seriesOf(
      doses.map((d, n) => exposureOn(n, { doseKpaH: d })),
      checked(28, [5, 8, 16, 25]),
    )
    const test = weekTest(nights, { exposure: 'doseKpaH', score: { kind: 'beyond', limit: 13 } }, resampling)
    // By hand: the first check opens the series, and the week after the clogs of nights 5, 8, 16 and 25 is out.
    const counted = [1, 2, 3, 4, 5, 16, 24, 25]
    const beyond = (n: number): number => Number((doses[n] ?? 0) > 13)
    const mean = counted.filter((n) => beyond(n) === 1).length / counted.length
    expect(test?.excess).toBeCloseTo(beyond(5) + beyond(16) + beyond(25) - 3 * mean, 9)
    // WEEK-3: the second week has no night that counts and stays; the other three are put in all their orders.
    expect(test).toMatchObject({ orders: 6, enumerated: true })
  })

  it('WEEK-4 without a clog there is nothing to test', () => {
    const nights = seriesOf([exposureOn(0), exposureOn(1)], checked(2, []))
    expect(weekTest(nights, { exposure: 'doseKpaH', score: { kind: 'rank' } }, resampling)).toBeNull()
    expect(weekTest([], { exposure: 'doseKpaH', score: { kind: 'rank' } }, resampling)).toBeNull()
  })
})

describe('each clog against its own month', () => {
  it('CROSS-1 the week after a clog is left out, as a clog and as a night to compare with', () => {
    const night = (day: number, value: number, isClog = false) => ({ value, isClog, day, month: 0 })
    const own = [night(1, 5), night(2, 9, true), night(4, 90), night(6, 90, true), night(20, 6)]
    const plain = [night(1, 5), night(2, 9, true), night(20, 6)]
    expect(caseCrossover([own])).toEqual(caseCrossover([plain]))
  })

  it('CROSS-2 what differs between months alone cancels', () => {
    let clogs = 0
    const nights = Array.from({ length: 240 }, (_, day) => {
      const month = Math.floor(day / 30)
      const isClog = day % 30 === 12 && month % 2 === 1
      if (isClog) clogs++
      return { value: (month % 2) * 50 + ((day * 7) % 10), isClog, day, month }
    })
    const fit = caseCrossover([nights])
    expect(clogs).toBe(4)
    expect(fit.converged && fit.interval.low < 0 && fit.interval.high > 0).toBe(true)
    expect(caseCrossover([])).toEqual({ converged: false, reason: 'noRows' })
  })
})

describe('before a clog', () => {
  const dry = (clogged: readonly number[], nights: number): Series[] =>
    seriesOf(
      Array.from({ length: nights }, (_, n) =>
        exposureOn(n, { doseKpaH: clogged.some((c) => c - n >= 0 && c - n <= 3) ? 30 : 10 }),
      ),
      checked(nights, clogged),
    )

  it('BEFORE-1 BEFORE-2 under ten clogs each stands by itself beside quiet nights of its month', () => {
    const { traces, average, test } = beforeClogs(dry([12, 40], 60), 'doseKpaH', resampling)
    expect(traces.map((t) => t.values)).toEqual([
      [30, 30, 30, 30],
      [30, 30, 30, 30],
    ])
    expect(traces.map((t) => t.matched)).toEqual([
      [10, 10, 10, 10],
      [10, 10, 10, 10],
    ])
    expect(average).toBeNull()
    expect(test).toMatchObject({ p: 0.5, enumerated: true })
  })

  it('BEFORE-3 from ten on an average with a band that the seed fixes', () => {
    const clogged = Array.from({ length: 12 }, (_, i) => 10 + 15 * i)
    const once = beforeClogs(dry(clogged, 200), 'doseKpaH', resampling)
    expect(once.average?.map((a) => a.difference)).toEqual([20, 20, 20, 20])
    expect(beforeClogs(dry(clogged, 200), 'doseKpaH', resampling)).toEqual(once)
    expect(beforeClogs(dry(clogged, 200), 'doseKpaH', null)).toMatchObject({ average: null, test: null })
  })
})

describe('a better limit', () => {
  it('CHOICE-1 it is judged on months that had no say: what happens in them does not move it', () => {
    const nights = shop(2.5)
    const chosen = chooseLimit(nights, 'doseKpaH', resampling)
    if (!('limit' in chosen)) throw new Error(chosen.reason)
    expect(chosen.chosenP).toBeLessThan(0.05)
    expect(chosen.clogsCaught + chosen.clogsMissed).toBeGreaterThan(4)
    const months = [...new Set(nights.flatMap((s) => [...s.months]))].sort((a, b) => a - b)
    const turned = nights.map((s) => ({
      ...s,
      outcomes: s.outcomes.map((o, i) => (o >= 0 && months.indexOf(s.months[i] ?? 0) % 2 === 1 ? 1 - o : o)),
    }))
    const again = chooseLimit(turned, 'doseKpaH', resampling)
    if (!('limit' in again)) throw new Error(again.reason)
    expect([again.limit, again.chosenP]).toEqual([chosen.limit, chosen.chosenP])
    expect(again.clogsCaught).not.toBe(chosen.clogsCaught)
    // Alarms are counted in the judged months alone: no more than one a night of each of four channel groups.
    expect(chosen.alarmsAMonth).toBeLessThan(4 * 31)
  })

  it('CHOICE-4 too few clogs, or one month alone: none', () => {
    expect(chooseLimit(shop(1).slice(0, 0), 'doseKpaH', resampling)).toEqual({ reason: 'oneMonth' })
    const few = seriesOf(
      Array.from({ length: 70 }, (_, n) => exposureOn(n)),
      checked(70, [20, 40]),
    )
    expect(chooseLimit(few, 'doseKpaH', resampling)).toEqual({ reason: 'tooFewClogs' })
  })
})

describe('the page', () => {
  it('CAUSES-1 CAUSES-2 every p is corrected within its own kind, and only weeks decide', () => {
    const page = causesOf(shop(1.5), { limits, resampling })
    expect(page.rows).toHaveLength(7)
    expect(new Set(page.tests.filter((t) => t.decides).map((t) => t.test))).toEqual(
      new Set(['weeks', 'weeksAtLimit']),
    )
    expect(page.tests.length).toBeGreaterThan(25)
    for (const { p, correctedP } of page.tests) expect(correctedP).toBeGreaterThanOrEqual(p)
  })

  it('CAUSES-3 a planted cause is named, with its side', () => {
    const page = causesOf(shop(2.2), { limits, resampling: { draws: 999, seed: 1 } })
    const verdicts = new Map(page.rows.map((r) => [r.exposure, r.verdict]))
    expect(verdicts.get('doseKpaH')).toMatchObject({ kind: 'goesTogether', direction: 1 })
    expect(verdicts.get('minHumidityPct')).toMatchObject({ kind: 'goesTogether', direction: -1 })
    expect(verdicts.get('minTemperatureC')?.direction).toBe(0)
  })

  it('CAUSES-4 nights acted upon are counted apart', () => {
    const exposures = Array.from({ length: 10 }, (_, n) => exposureOn(n, { actedUpon: n >= 7 }))
    const page = causesOf(seriesOf(exposures, checked(10, [3, 8])), { limits, resampling: null })
    expect(page.actedUpon).toEqual({ nights: 3, checked: 3, clogs: 1 })
    expect(page.rows[0]).toMatchObject({ nights: 6, clogs: 1 })
  })

  it('CAUSES-5 without resampling no verdict claims anything; of no nights there are no rows', () => {
    const page = causesOf(shop(2.2), { limits, resampling: null })
    expect(page.rows.map((r) => r.verdict.kind)).toEqual(Array(7).fill('notTested'))
    expect(causesOf([], { limits, resampling })).toMatchObject({ rows: [], tests: [] })
  })

  it('CAUSES-6 any few nights give a page without NaN, and names of channel groups do not matter', () => {
    let clogs = 0
    fc.assert(
      fc.property(fc.integer(), fc.integer({ min: 1, max: 60 }), (seed, nights) => {
        const draw = seededDraw(seed)
        const exposures = Array.from({ length: nights }, (_, n) =>
          exposureOn(n, { doseKpaH: draw() < 0.1 ? null : 40 * draw(), minHumidityPct: 30 + 30 * draw() }),
        )
        const clogged = exposures.flatMap((_, n) => (draw() < 0.15 ? [n] : []))
        const page = causesOf(seriesOf(exposures, checked(nights, clogged)), {
          limits,
          resampling: { draws: 19, seed: 1 },
        })
        const renamed = exposures.map((e) => ({ ...e, channelGroupId: 'pale' }))
        const other = causesOf(seriesOf(renamed, checked(nights, clogged, 'pale')), {
          limits,
          resampling: { draws: 19, seed: 1 },
        })
        clogs += page.rows[0]?.clogs ?? 0
        expect(other.tests).toEqual(page.tests)
        expect(hasNaN(page)).toBe(false)
      }),
      { seed: 6, numRuns: 40 },
    )
    expect(clogs).toBeGreaterThan(50)
  })
})

function hasNaN(value: unknown): boolean {
  if (typeof value === 'number') return Number.isNaN(value)
  if (typeof value !== 'object' || value === null) return false
  return Object.values(value).some(hasNaN)
}

describe('frozen and confirmed', () => {
  const day = (n: number): number => Date.parse(`${nightDate(n)}T00:00:00Z`) / 86_400_000

  it('FREEZE-2 what confirms a verdict begins after what it rests on', () => {
    const nights = seriesOf(
      Array.from({ length: 20 }, (_, n) => exposureOn(n)),
      checked(20, [3]),
    )
    const claim = { exposure: 'doseKpaH', kind: 'goesTogether', direction: 1, text: 'claimed' } as const
    expect(confirm(nights, { verdict: claim, fromDay: day(12) }, resampling)).toMatchObject({
      state: 'waiting',
      clogs: 0,
      nights: 8,
      p: null,
    })
    expect(confirm(nights, { verdict: { ...claim, direction: 0 }, fromDay: day(12) }, resampling)).toBeNull()
  })

  it('FREEZE-3 FREEZE-4 later nights confirm what was planted, and do not bear out its opposite', () => {
    const nights = shop(2.2)
    const middle = (nights[0]?.days[0] ?? 0) + 120
    const claim = { exposure: 'doseKpaH', kind: 'goesTogether', direction: 1, text: '' } as const
    expect(confirm(nights, { verdict: claim, fromDay: middle }, resampling)?.state).toBe('confirmed')
    const opposite = confirm(nights, { verdict: { ...claim, direction: -1 }, fromDay: middle }, resampling)
    expect(opposite).toMatchObject({ state: 'notConfirmed' })
    expect(opposite?.p).toBeGreaterThan(0.95)
  })
})
