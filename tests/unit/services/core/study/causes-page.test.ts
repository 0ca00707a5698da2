import { expect, it } from 'vitest'
import { causesViewSchema } from '../../../../../services/core/model/causes-view.ts'
import { causesPage, verdictsToFreeze } from '../../../../../services/core/study/causes-page.ts'
import { nightsBetween } from '../../../../../services/core/study/nights.ts'
import { shopSeries } from '../../../../../services/core/study/shop-series.ts'
import { inventedCauses, inventedSeries } from '../../../../parts/invented-causes.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

const EVERYTHING = { from: null, to: null, machineId: null }
const settings = testSettings()

it('PAGE-1 the same nights give the same page, and it survives JSON as its schema says', () => {
  const shop = inventedSeries({ machines: 1, days: 120, clogShare: 0.04, dryFactor: 1.5, seed: 3 })
  const page = () => causesPage({ shop, settings, frozen: [], question: EVERYTHING, nowMs: 5 })
  expect(page()).toEqual(page())
  expect(causesViewSchema.parse(JSON.parse(JSON.stringify(page())))).toEqual(page())
}, 60_000)

it('PAGE-2 frozen verdicts stand on the page with what later nights say of them', () => {
  const [frozen] = inventedCauses('many').frozen
  expect(frozen?.confirmation?.state).toBe('confirmed')
  expect(inventedCauses('few').frozen).toEqual([])
}, 60_000)

it('FREEZE-1 the verdicts of a month rest on the nights before its end, and not on a later one', () => {
  const shop = inventedSeries({ machines: 1, days: 120, clogShare: 0.04, dryFactor: 1.5, seed: 3 })
  const endDay = shop.series[0]?.days[80] ?? 0
  const before = { ...shop, series: nightsBetween(shop.series, -Infinity, endDay) }
  const verdicts = verdictsToFreeze(shop, settings, endDay)
  expect(verdicts.length).toBeGreaterThan(0)
  expect(verdicts).toEqual(verdictsToFreeze(before, settings, Infinity))
  expect(verdicts).not.toEqual(verdictsToFreeze(shop, settings, Infinity))
}, 60_000)

it('PAGE-3 with few clogs it cannot tell and says how many nights it would take; with many it claims in one sentence', () => {
  const few = inventedCauses('few')
  expect(few.headline).toMatch(
    /^With 7 clogs this cannot tell\. About [\d,]+ more nights with a check would be needed to see a doubling\.$/,
  )
  expect(few.rows.every((r) => r.verdict.direction === 0)).toBe(true)
  expect(few.proposals.every((p) => p.better === null)).toBe(true)
  const many = inventedCauses('many')
  expect(many.headline).toMatch(
    /^New clogs came more often after nights with .*drier air.* That does not yet show the cause\.$/,
  )
  expect(many.counts.actedUpon.nights).toBeGreaterThan(50)
}, 60_000)

it('PAGE-3 of no nights, and of nights without a check, it says what is missing', () => {
  const empty = shopSeries({ nights: [], shopNights: [], checks: [], headChanges: [] })
  const page = causesPage({ shop: empty, settings, frozen: [], question: EVERYTHING, nowMs: 5 })
  expect(page.headline).toMatch(/^There is nothing to look at yet/)
  const unchecked = { ...inventedSeries({ machines: 1, days: 30, clogShare: 0, dryFactor: 1, seed: 1 }) }
  const series = unchecked.series.map((s) => ({ ...s, outcomes: s.outcomes.map(() => -1) }))
  const noChecks = causesPage({
    shop: { ...unchecked, series },
    settings,
    frozen: [],
    question: EVERYTHING,
    nowMs: 5,
  })
  expect(noChecks.headline).toMatch(/^Nothing can be said yet: no night has a nozzle check after it/)
  expect(noChecks.rows).toEqual([])
})

it('PROPOSE-1 PROPOSE-2 a limit that the other months bear out is offered beside what holds today', () => {
  const dry = inventedCauses('many').proposals.find((p) => p.of === 'airDryPct')
  expect(dry?.better).toMatchObject({ isBorneOut: true })
  expect(dry?.better?.limit).toBeGreaterThan(40)
  expect(dry?.better?.clogsCaught).toBeGreaterThan(dry?.better?.today.clogsCaught ?? Infinity)
  expect(dry?.better?.alarmsAMonth).toBeGreaterThan(dry?.better?.today.alarmsAMonth ?? Infinity)
  expect(dry?.text).toMatch(/It would tell earlier, and more often, than now\.$/)
  const { clogsCaught = 0, clogsMissed = 0, today } = dry?.better ?? {}
  expect(clogsCaught + clogsMissed).toBe((today?.clogsCaught ?? 0) + (today?.clogsMissed ?? 0))
})

it('a part of the nights: by machine and by dates, both included', () => {
  const shop = inventedSeries({ machines: 2, days: 60, clogShare: 0.02, dryFactor: 1, seed: 3 })
  const ask = (question: Partial<typeof EVERYTHING> | { from: string; to: string; machineId: string }) =>
    causesPage({ shop, settings, frozen: [], question: { ...EVERYTHING, ...question }, nowMs: 5 }).counts
  expect(ask({})).toMatchObject({ channelGroups: 4, nights: 240 })
  expect(ask({ from: '2024-01-03', to: '2024-01-12', machineId: 'm1' })).toMatchObject({
    channelGroups: 2,
    nights: 20,
  })
}, 60_000)
