import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { CausesStatus } from '../../services/core/model/causes-view.ts'
import { QUARTER_MS } from '../../services/core/model/quarter.ts'
import { quietQuarters } from '../parts/night-quarters.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { waitFor } from '../parts/wait-for.ts'
import { openWebShop, problemOf, type WebShop } from '../parts/web-shop.ts'

let shop: WebShop
beforeEach(async () => {
  shop = await openWebShop()
})
afterEach(() => shop.close())

const DAY_MS = 86_400_000

/** Seven nights of the invented shop before its now, the last two with a check: clear, then clogged. */
function liveAWeek(): void {
  const nowMs = shop.monitor.nowMs()
  const firstMs = Math.floor((nowMs - 8 * DAY_MS) / DAY_MS) * DAY_MS
  const act = { actorId: 'ana', via: 'screen' as const, atMs: firstMs }
  const said = { void: false, act, note: '', machineId: 'roll' }
  shop.book.transaction(() => {
    shop.book.appendInput({
      type: 'settings',
      seq: 1,
      atMs: firstMs,
      receivedMs: firstMs,
      act,
      settings: testSettings({ hours: { weekly: [] } }),
    })
    shop.book.applyEffects(
      1,
      quietQuarters({ fromMs: firstMs - QUARTER_MS, toMs: nowMs }).map((quarter) => ({
        type: 'quarterNoted',
        quarter,
      })),
    )
    const checkAt = (
      checkId: string,
      checkedMs: number,
      missing: { channelGroupId: string; missingNozzles: number }[],
    ) =>
      shop.book.applyEffects(1, [
        {
          type: 'logEntryNoted',
          atMs: nowMs,
          entry: { ...said, kind: 'nozzleCheck', checkId, checkedMs, reason: 'routine', missing },
        },
      ])
    checkAt('one', firstMs + 5.6 * DAY_MS, [])
    checkAt('two', firstMs + 6.6 * DAY_MS, [{ channelGroupId: 'roll-white', missingNozzles: 3 }])
  })
}

async function statusOf(query = ''): Promise<CausesStatus> {
  return (
    await shop.send('technician', { method: 'GET', url: `/api/v1/causes${query}` })
  ).json<CausesStatus>()
}
const compute = (payload: object = {}) =>
  shop.send('owner', { method: 'POST', url: '/api/v1/causes/computations', payload })

describe('Causes', () => {
  it('is worked out when asked for, in a thread of its own, and is current until a check is logged', async () => {
    liveAWeek()
    expect(await statusOf()).toEqual({ page: null, isCurrent: false, work: null, problem: null })
    const begun = await compute()
    expect(begun.statusCode).toBe(202)
    expect(begun.json<CausesStatus>().work).toMatchObject({ doing: 'Looking through the nights' })
    const { page } = await waitFor('the page', async () => {
      const status = await statusOf()
      return status.page && status.isCurrent ? status : null
    })
    expect(page?.counts).toMatchObject({ channelGroups: 2, counted: 2, clogs: 1 })
    expect(page?.headline).toMatch(/^With 1 clog this cannot tell\./)
    const act = { actorId: 'ana', via: 'screen' as const, atMs: 1 }
    shop.book.transaction(() =>
      shop.book.applyEffects(1, [
        {
          type: 'logEntryNoted',
          atMs: 1,
          entry: {
            kind: 'headChange',
            changeId: 'c',
            machineId: 'roll',
            headId: 'roll-head',
            changedMs: 1,
            note: '',
            void: false,
            act,
          },
        },
      ]),
    )
    expect(await statusOf()).toMatchObject({ isCurrent: false, page: { counts: { clogs: 1 } } })
  }, 60_000)

  it('keeps each question apart, and what is stopped leaves nothing behind', async () => {
    liveAWeek()
    await compute({ machineId: 'roll' })
    await waitFor('the page of a machine', async () => (await statusOf('?machineId=roll')).page)
    expect((await statusOf()).page).toBe(null)
    await compute()
    expect(
      (await shop.send('owner', { method: 'DELETE', url: '/api/v1/causes/computations' })).statusCode,
    ).toBe(204)
    expect(await statusOf()).toEqual({ page: null, isCurrent: false, work: null, problem: null })
  }, 60_000)

  it('gives all nights with their outcomes as CSV', async () => {
    liveAWeek()
    const { headers, body } = await shop.send('technician', {
      method: 'GET',
      url: '/api/v1/causes/nights.csv',
    })
    expect(headers['content-type']).toBe('text/csv; charset=utf-8')
    const lines = body.trim().split('\r\n')
    expect(lines[0]).toBe(
      'night_of,machine,head,channel_group,head_since,doseKpaH (kPa h),minHumidityPct (%RH),hoursBelowPct (h),darkHours (h),uncappedHours (h),cleaningsSeen (cleanings),minTemperatureC (degC),outcome,acted_upon',
    )
    expect(lines.filter((l) => l.includes(',clog,'))).toHaveLength(1)
    expect(lines[1]).toMatch(/^\d{4}-\d\d-\d\d,roll,roll-head,roll-colour,,24,,,0,0,0,,,no$/)
  }, 60_000)

  it('refuses a window that ends before it begins, and says so', async () => {
    const answer = await shop.send('owner', {
      method: 'GET',
      url: '/api/v1/causes?from=2026-02-01&to=2026-01-01',
    })
    expect(answer.statusCode).toBe(400)
    expect(JSON.stringify(problemOf(answer))).toContain('to must not be before from')
  })

  it('is for owner and technician', async () => {
    expect((await shop.send('operator', { method: 'GET', url: '/api/v1/causes' })).statusCode).toBe(403)
  })
})
