import { afterAll, describe, expect, it } from 'vitest'
import { createSimulatedShop } from '../../sensors/simulator/create-shop.ts'
import { demoIncidents } from '../../sensors/simulator/demo-story.ts'
import { demoPlan } from '../../sensors/simulator/shop-plan.ts'
import { pastPacks } from '../../services/cli/demo-past.ts'
import { actsOfARound, roundsOf } from '../../services/cli/demo-people.ts'
import { logOfARound } from '../../services/cli/demo-logbook.ts'
import { openingCalendar } from '../../services/core/model/opening-hours.ts'
import { backfill } from '../../services/monitor/backfill.ts'
import { createKernelKeeper } from '../../services/monitor/kernel-keeper.ts'
import { createSqliteBench } from '../parts/sqlite-records.ts'

const bench = createSqliteBench()
afterAll(() => bench.closeAll())

const DAY = 86_400_000
/** A Friday at noon, Brussels: the Monday routines have come up, and four mornings have passed. */
const NOW = Date.parse('2026-11-27T11:00:00Z')
const FROM = NOW - 5 * DAY

describe('the past of the demo', () => {
  it('its people look at what the nights did and do the routines, and leave the last day to whoever looks', () => {
    const { book, reader } = bench.open()
    const plan = demoPlan({ timeZone: 'Europe/Brussels' })
    const calendar = openingCalendar(plan.settings)
    const shop = createSimulatedShop({
      seed: 1,
      plan,
      startMs: FROM,
      incidents: demoIncidents(NOW, plan),
    })
    const rounds = [...roundsOf(calendar, { fromMs: FROM, throughMs: NOW })]
    expect(rounds.map((ms) => new Date(ms).toISOString().slice(0, 16))).toEqual([
      '2026-11-23T07:50',
      '2026-11-24T07:50',
      '2026-11-25T07:50',
      '2026-11-26T07:50',
    ])
    const taken = backfill(book, {
      settings: plan.settings,
      fromMs: FROM,
      throughMs: NOW,
      packs: pastPacks(shop, { fromMs: FROM, throughMs: NOW }),
      people: {
        rounds,
        actsAt: (state, atMs) => [
          ...actsOfARound(state, 'demo-owner', atMs),
          ...logOfARound(state, 'demo-owner', atMs),
        ],
      },
    })
    expect(reader.counts().readings).toBe(taken)

    const checks = reader.nozzleChecks({ fromMs: FROM, toMs: NOW })
    expect(checks.length).toBeGreaterThan(rounds.length * 2)
    expect(checks.every((c) => c.act.actorId === 'demo-owner')).toBe(true)

    const signed = reader.tasks({ states: ['signedOff'], limit: 100 })
    expect(signed.length).toBeGreaterThan(0)
    expect(signed.every((t) => t.routineId !== null && t.signedOff?.actorId === 'demo-owner')).toBe(true)
    const unseen = reader.openAlarms().filter((a) => a.state === 'returnedUnacknowledged')
    expect(unseen.filter((a) => (a.returnedMs ?? 0) < (rounds.at(-1) ?? 0))).toEqual([])
    expect(reader.openAlarms().some((a) => a.state === 'unacknowledged')).toBe(true)
    // What was told is what a restart finds.
    const { shop: kept } = createKernelKeeper(book).state()
    expect([...kept.tasks.keys()].sort()).toEqual(
      reader
        .tasks({ states: ['open'], limit: 100 })
        .map((t) => t.id)
        .sort(),
    )
  }, 60_000)

  it('only an empty book can be given a past', () => {
    const { book } = bench.open()
    const plan = demoPlan()
    const past = { settings: plan.settings, fromMs: FROM, throughMs: FROM, packs: [] }
    expect(backfill(book, past)).toBe(0)
    expect(() => backfill(book, past)).toThrow(/empty book/)
  })
})
