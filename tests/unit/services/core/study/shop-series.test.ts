import { expect, it } from 'vitest'
import type { StoredNight } from '../../../../../services/core/model/night-exposure.ts'
import { nightsTable } from '../../../../../services/core/study/nights-table.ts'
import { shopNights } from '../../../../../services/core/study/shop-nights.ts'
import { shopSeries, type LoggedCheck } from '../../../../../services/core/study/shop-series.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

const at = (text: string): number => Date.parse(text)
const settings = testSettings()
/** Monday 16 to Friday 27 November: nine nights, one of them a weekend. */
const nightsOfShop = shopNights(
  [{ sinceMs: at('2026-11-16T12:00:00Z'), settings }],
  at('2026-11-27T12:00:00Z'),
)
const stored = nightsOfShop.flatMap(({ nightOf, fromMs, toMs }) =>
  ['roll-colour', 'roll-white'].map((channelGroupId): StoredNight => ({
    machineId: 'roll',
    headId: 'roll-head',
    channelGroupId,
    nightOf,
    fromMs,
    toMs,
    doseKpaH: 14.5,
    minHumidityPct: 45,
    hoursBelowPct: 0,
    darkHours: 0,
    uncappedHours: 0,
    cleaningsSeen: null,
    minTemperatureC: -2,
    actedUpon: false,
    modelVersion: '1',
  })),
)
const check = (when: string, missingNozzles = 0, change: Partial<LoggedCheck> = {}): LoggedCheck => ({
  machineId: 'roll',
  checkedMs: at(when),
  reason: 'routine',
  missing: missingNozzles === 0 ? [] : [{ channelGroupId: 'roll-white', missingNozzles }],
  ...change,
})
const shopOf = (
  checks: readonly LoggedCheck[],
  headChanges: readonly { headId: string; changedMs: number }[] = [],
) => shopSeries({ nights: stored, shopNights: nightsOfShop, checks, headChanges })
const told = (shop: ReturnType<typeof shopSeries>): string[] =>
  nightsTable(shop)
    .slice(1)
    .filter((row) => row[3] === 'roll-white' && row[12] !== null)
    .map((row) => `${row[0]} ${row[12]}`)

it('SERIES-1 a check tells of the last night that was over; one before opening of the night about to end', () => {
  expect(nightsOfShop.map((n) => n.nightOf)).toEqual([
    '2026-11-16',
    '2026-11-17',
    '2026-11-18',
    '2026-11-19',
    '2026-11-20',
    '2026-11-23',
    '2026-11-24',
    '2026-11-25',
    '2026-11-26',
  ])
  // Opening is at 07:30 UTC. The weekend's check is Monday's.
  const shop = shopOf([
    check('2026-11-17T08:00:00Z'),
    check('2026-11-18T07:10:00Z'),
    check('2026-11-19T07:10:00Z', 3),
    check('2026-11-19T16:00:00Z'),
    check('2026-11-23T07:00:00Z', 2),
  ])
  expect(told(shop)).toEqual(['2026-11-17 clear', '2026-11-18 clog', '2026-11-20 clog'])
  expect(shop.left).toEqual({
    tellsOnlyState: 0,
    laterOfTheDay: 2,
    nothingBefore: 2,
    clogBefore: 0,
    tooLongUnchecked: 0,
  })
})

it('SERIES-1 without hours a check of the morning belongs to the night that ends at noon, a later one too', () => {
  const always = testSettings({ hours: { weekly: [] } })
  const nights = shopNights(
    [{ sinceMs: at('2026-11-16T10:00:00Z'), settings: always }],
    at('2026-11-20T12:00:00Z'),
  )
  const shop = shopSeries({
    nights: stored,
    shopNights: nights,
    checks: [check('2026-11-17T06:00:00Z'), check('2026-11-18T15:00:00Z', 2), check('2026-11-20T01:00:00Z')],
    headChanges: [],
  })
  // Noon in Brussels is 11:00 UTC.
  expect(told(shop)).toEqual(['2026-11-17 clog'])
  expect(shop.left).toMatchObject({ tellsOnlyState: 0, clogBefore: 1 })
})

it('SERIES-5 what was checked on the day before the first night says how it began; what is older says nothing of it', () => {
  const first = [check('2026-11-16T13:00:00Z', 0, { reason: 'baseline' }), check('2026-11-17T08:00:00Z', 2)]
  expect(told(shopOf(first))).toEqual(['2026-11-16 clog'])
  const [, ...withoutBaseline] = first
  expect(told(shopOf(withoutBaseline))).toEqual([])
  const old = [check('2025-11-16T13:00:00Z'), check('2026-11-14T08:00:00Z'), ...withoutBaseline]
  expect([told(shopOf(old)), shopOf(old).left.laterOfTheDay]).toEqual([[], 0])
})

it('SERIES-5 so does the check of a machine that was added since the last night', () => {
  const nights = shopNights(
    [
      { sinceMs: at('2026-11-16T12:00:00Z'), settings: { ...settings, machines: [] } },
      { sinceMs: at('2026-11-18T12:00:00Z'), settings },
    ],
    at('2026-11-27T12:00:00Z'),
  )
  const checks = [check('2026-11-18T13:00:00Z', 0, { reason: 'baseline' }), check('2026-11-19T08:00:00Z', 1)]
  expect(told(shopSeries({ nights: stored, shopNights: nights, checks, headChanges: [] }))).toEqual([
    '2026-11-18 clog',
  ])
})

it('SERIES-2 a check after a cleaning, or in the middle of a closed time, only tells whether it was clear', () => {
  const shop = shopOf([
    check('2026-11-17T08:00:00Z'),
    check('2026-11-18T08:00:00Z', 3),
    check('2026-11-19T08:00:00Z', 0, { reason: 'afterCleaning' }),
    check('2026-11-20T08:00:00Z', 1),
    // Saturday: the weekend's night is not over, and Thursday's was told of already.
    check('2026-11-21T10:00:00Z'),
    check('2026-11-23T08:00:00Z', 4),
  ])
  expect(told(shop)).toEqual(['2026-11-17 clog', '2026-11-19 clog', '2026-11-20 clog'])
  expect(shop.left.tellsOnlyState).toBe(4)
})

it('SERIES-3 a baseline counts as routine, and checks on suspicion are counted beside', () => {
  const shop = shopOf([
    check('2026-11-17T08:00:00Z', 0, { reason: 'baseline' }),
    check('2026-11-18T08:00:00Z', 2, { reason: 'suspicion' }),
  ])
  expect(told(shop)).toEqual(['2026-11-17 clog'])
  expect([shop.checks, shop.onSuspicion]).toEqual([4, 2])
})

it('SERIES-4 a new head starts its series anew: its first check is no outcome, and its nights stand apart', () => {
  const changes = [{ headId: 'roll-head', changedMs: at('2026-11-19T10:00:00Z') }]
  const shop = shopOf(
    [
      check('2026-11-18T08:00:00Z'),
      check('2026-11-19T08:00:00Z', 5),
      check('2026-11-20T08:00:00Z'),
      check('2026-11-23T08:00:00Z'),
    ],
    changes,
  )
  // Without the change the check of the 20th would be the end of a clog, and that of the 23rd its first clear night.
  expect(told(shop)).toEqual(['2026-11-18 clog', '2026-11-20 clear'])
  expect(shop.series.map((s) => [s.channelGroupId, s.days.length])).toEqual([
    ['roll-colour', 3],
    ['roll-colour 1', 6],
    ['roll-white', 3],
    ['roll-white 1', 6],
  ])
  expect(shop.names.get('roll-white 1')).toEqual({
    machineId: 'roll',
    headId: 'roll-head',
    channelGroupId: 'roll-white',
    sinceMs: at('2026-11-19T10:00:00Z'),
  })
})

it('CLOG-8 over a closed fortnight lies one night: the check after it tells of it', () => {
  const hours = {
    ...settings.hours,
    holidays: ['18', '19', '20', '23', '24', '25'].map((d) => `2026-11-${d}`),
  }
  const holiday = testSettings({ hours })
  const nights = shopNights(
    [{ sinceMs: at('2026-11-16T12:00:00Z'), settings: holiday }],
    at('2026-11-30T12:00:00Z'),
  )
  expect(nights.map((n) => n.nightOf)).toEqual(['2026-11-16', '2026-11-17', '2026-11-26', '2026-11-27'])
  const shop = shopSeries({
    nights: stored,
    shopNights: nights,
    checks: [check('2026-11-17T08:00:00Z'), check('2026-11-26T08:00:00Z', 3)],
    headChanges: [],
  })
  expect(shop.outcomes.filter((o) => o.channelGroupId === 'roll-white')).toEqual([
    {
      channelGroupId: 'roll-white',
      nightOf: '2026-11-17',
      checkedMs: at('2026-11-26T08:00:00Z'),
      isClog: true,
      why: 'routine',
    },
  ])
})

it("the table for tools of one's own has a head, a row a night, and empty cells for what is not known", () => {
  const [head = [], first = []] = nightsTable(shopOf([]))
  expect(head).toHaveLength(first.length)
  expect(Object.fromEntries(head.map((h, i) => [h, first[i]]))).toMatchObject({
    night_of: '2026-11-16',
    machine: 'roll',
    channel_group: 'roll-colour',
    'doseKpaH (kPa h)': 14.5,
    'cleaningsSeen (cleanings)': null,
    'minTemperatureC (degC)': -2,
    outcome: null,
    acted_upon: 'no',
  })
})
