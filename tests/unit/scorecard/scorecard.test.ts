import { describe, expect, it } from 'vitest'
import { createShopPlan } from '../../../sensors/simulator/create-shop-plan.ts'
import type { Incident } from '../../../sensors/simulator/incident.ts'
import { TUNING, type ShopRanges } from '../../../sensors/simulator/plan-ranges.ts'
import { drawStory, liveShop, type LivedShop, type ShopStory } from '../../scorecard/live-shop.ts'
import { promisesOf } from '../../scorecard/promises.ts'
import { scoreShop } from '../../scorecard/score-shop.ts'
import { BEGIN, END, scoreTable, withTable } from '../../scorecard/score-table.ts'
import { tallyOf } from '../../scorecard/tally.ts'

const HOUR = 3_600_000
const DAY = 24 * HOUR
/** Shops in which something goes wrong every day, so that a few of them tell something. */
const BUSY: ShopRanges = {
  ...TUNING,
  betweenDays: { machine: [0.5, 1], room: [1, 2], bottle: [0.5, 1], node: [4, 9], mains: [4, 9] },
}
const SHOPS = [2, 3, 4]
const DAYS = 9
/** Weeks of simulated life on a machine that does other things as well. */
const LONG_MS = 180_000
const lived = SHOPS.map((seed) => liveShop(drawStory(seed, BUSY, DAYS)))
const conditionOf = (shop: LivedShop, condition: string) =>
  scoreShop(shop).conditions.find((c) => c.condition === condition)

describe('a small scorecard', () => {
  const tally = tallyOf(lived.map(scoreShop))
  const rowOf = (condition: string) => tally.rows.find((r) => r.condition === condition)

  it('SCORE-1 no power cut, no near bottle and no missing bottle is missed, and none is late', () => {
    for (const condition of ['powerLost', 'bottleNear', 'bottleMissing']) {
      expect(rowOf(condition)?.misses, condition).toEqual([])
    }
    expect(rowOf('powerLost')?.hits.of).toBeGreaterThan(3)
    expect(rowOf('powerLost')?.lateHits).toBe(0)
  })

  it('SCORE-2 air, power and silence cry no wolf, and nobody is called for dryness that nobody can know', () => {
    for (const condition of [
      'airDry',
      'airDamp',
      'roomCold',
      'roomWarm',
      'powerLost',
      'leftOff',
      'sensorSilent',
    ]) {
      expect(rowOf(condition)?.falseFindings, condition).toEqual([])
    }
    expect(tally.unknownCleaningCalls).toEqual([])
  })

  it('SCORE-3 the same seed gives the same score, another seed another', { timeout: LONG_MS }, () => {
    const score = (seed: number) => scoreShop(liveShop(drawStory(seed, BUSY, 2, 1)))
    const once = score(2)
    expect(score(2)).toEqual(once)
    expect(score(3)).not.toEqual(once)
  })

  it('SCORE-4 an episode taken away is a miss, and one invented is a false alarm', () => {
    const [shop] = lived
    const before = shop && conditionOf(shop, 'powerLost')
    if (!shop || !before) throw new Error('the first shop was not scored')
    const without = shop.episodes.filter((e) => e.condition !== 'powerLost')
    const missed = conditionOf({ ...shop, episodes: without }, 'powerLost')
    expect(missed?.misses).toHaveLength(before.occasions)
    expect(before.occasions).toBeGreaterThan(0)

    const [example] = shop.episodes.filter((e) => e.condition === 'powerLost')
    if (!example) throw new Error('the first shop lost no power')
    const calmMs = shop.story.scoredMs + HOUR
    const at = { fromMs: calmMs, openedMs: calmMs, toMs: calmMs + HOUR, closedMs: calmMs + HOUR }
    const invented = { ...example, ...at, id: 'invented' }
    const wolf = conditionOf({ ...shop, episodes: [...shop.episodes, invented] }, 'powerLost')
    expect(wolf?.falseAlarms).toHaveLength(before.falseAlarms.length + 1)
  })

  it('SCORE-9 what is due only when the shop is looked at no more is no miss; a quarter of an hour earlier it is one', () => {
    const [shop] = lived
    if (!shop) throw new Error('no shop was lived through')
    const { endMs } = shop.story
    const missesOf = (dueMs: number) => {
      const span = { subject: 'machine:invented', fromMs: dueMs, dueMs, toMs: Infinity, sure: true }
      const truth = [...shop.truth, { condition: 'powerLost' as const, spans: [span] }]
      return conditionOf({ ...shop, truth }, 'powerLost')?.misses.length ?? 0
    }
    const before = conditionOf(shop, 'powerLost')?.misses.length ?? 0
    expect(missesOf(endMs + 1)).toBe(before)
    expect(missesOf(endMs)).toBe(before)
    expect(missesOf(endMs - 15 * 60_000)).toBe(before + 1)
  })

  it('SCORE-5 an invented call at night is a false wake-up', () => {
    const shop = lived.find((l) => l.calls.length > 0)
    const [call] = shop?.calls ?? []
    if (!shop || !call) throw new Error('no shop called anybody')
    const before = scoreShop(shop).falseNightCalls.length
    const nightMs = (shop.calendar.nextOpeningAfter(shop.story.scoredMs + DAY) ?? 0) - HOUR
    const alarm = { ...call.alarm, leadEpisodeId: 'invented' }
    const after = scoreShop({ ...shop, calls: [...shop.calls, { atMs: nightMs, alarm }] })
    expect(after.falseNightCalls).toHaveLength(before + 1)
  })

  it('SCORE-6 the table stands between its marks and tells every promise', () => {
    const promises = promisesOf(tally)
    const table = scoreTable(tally, promises, { set: 'tuning', days: DAYS })
    const text = withTable(`before\n${BEGIN}\nan older table\n${END}\nafter`, table)
    expect(text.startsWith(`before\n${BEGIN}`)).toBe(true)
    expect(text.endsWith(`${END}\nafter`)).toBe(true)
    expect(text).not.toContain('an older table')
    for (const { says } of promises) expect(text).toContain(says)
    expect(() => withTable('no marks', table)).toThrow(RangeError)
  })
})

describe('a normal weekend', () => {
  /** 50 %RH and 22 degC all the time, 10 weekdays and two weekends of a shop of which nothing goes wrong but `incidents`. */
  function weekendStory(
    incidentsOf: (plan: ShopStory['plan'], fridayMs: number) => readonly Incident[],
  ): ShopStory {
    const drawn = createShopPlan(4, TUNING)
    const rooms = drawn.rooms.map((r) => ({ ...r, dayC: 22, nightC: 22, humidifierPct: 50 }))
    const plan = { ...drawn, rooms }
    // A Thursday in a cold March, so that nothing but the humidifier makes the air.
    const scoredMs = Date.parse('2025-03-06T00:00:00Z')
    const startMs = scoredMs - 15 * DAY
    const site = plan.settings.site.id
    const calm: Incident = {
      kind: 'calm',
      subjectId: site,
      fromMs: startMs - 9 * DAY,
      toMs: scoredMs + 30 * DAY,
    }
    const incidents = [calm, ...incidentsOf(plan, scoredMs + DAY)]
    return { seed: 4, plan, incidents, startMs, scoredMs, endMs: scoredMs + 5 * DAY }
  }
  const foundIn = ({ episodes, story }: LivedShop): readonly string[] =>
    episodes
      .filter((e) => (e.toMs ?? Infinity) > story.scoredMs)
      .map((e) => `${e.condition} ${e.subject.id}`)
      // White ink that stands still over a weekend has settled, as it should be said.
      .filter((text) => !text.startsWith('idleTooLong'))

  it('SCORE-7 raises nothing where the machines stay on', { timeout: LONG_MS }, () => {
    const shop = liveShop(weekendStory(() => []))
    expect(foundIn(shop)).toEqual([])
    expect(shop.calls).toEqual([])
  })

  it(
    'SCORE-8 dries no colour ink under its cap, though the machines are dark from Friday evening to Monday morning',
    { timeout: LONG_MS },
    () => {
      const shop = liveShop(
        weekendStory((plan, fridayMs) =>
          plan.machines.map(({ id }): Incident => {
            return {
              kind: 'powerCut',
              subjectId: id,
              fromMs: fridayMs + 18 * HOUR,
              toMs: fridayMs + 80 * HOUR,
            }
          }),
        ),
      )
      const found = foundIn(shop)
      expect(found.filter((text) => text.startsWith('powerLost'))).not.toEqual([])
      expect(found.filter((text) => text.startsWith('head') && text.endsWith('-colour'))).toEqual([])
    },
  )
})
