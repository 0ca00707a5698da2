import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { InputBody, Reading } from '../../services/core/model/input.ts'
import type { RerunView } from '../../services/core/model/rerun.ts'
import { liveThrough, packInput, settingsInput, type Arrival } from '../parts/kernel-run.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { waitFor } from '../parts/wait-for.ts'
import { openWebShop, problemOf, type WebShop } from '../parts/web-shop.ts'

const MIN = 60_000
const HOUR = 60 * MIN
const DAY = 24 * HOUR
/** A Monday. */
const START = Date.parse('2026-11-23T11:00:00Z')

const ONE_SENSOR = testSettings({
  sensors: testSettings().sensors.filter((s) => s.id === 'bench/humidity'),
})

let shop: WebShop
beforeEach(async () => {
  shop = await openWebShop()
})
afterEach(() => shop.close())

/** Three days of readings: the air dips to 38.5 %RH each night for three hours. */
function livePast(): void {
  const arrivals: Arrival[] = [{ receivedMs: START, body: settingsInput(ONE_SENSOR, START) }]
  for (let atMs = START + MIN; atMs < START + 3 * DAY; atMs += MIN) {
    const hour = new Date(atMs).getUTCHours()
    const reading: Reading = {
      sensorId: 'bench/humidity',
      quantity: 'humidity',
      atMs,
      value: hour >= 1 && hour < 4 ? 38.5 : 45,
    }
    const body: InputBody = packInput(atMs + 100, [reading])
    arrivals.push({ receivedMs: atMs + 100, body })
  }
  shop.book.transaction(() => liveThrough(shop.book, arrivals, START + 3 * DAY))
}

const ORDER = { limit: 'airDryPct.openBelow', value: 38, fromMs: START, toMs: START + 3 * DAY }

async function start(payload: object, role: 'owner' | 'technician' = 'technician') {
  return shop.send(role, { method: 'POST', url: '/api/v1/reruns', payload })
}

async function look(id: string): Promise<RerunView> {
  return (await shop.send('technician', { url: `/api/v1/reruns/${id}` })).json()
}

function ended(id: string): Promise<RerunView> {
  const isEnded = async (): Promise<RerunView | null> => {
    const view = await look(id)
    return view.state === 'running' ? null : view
  }
  return waitFor('the re-run to end', isEnded, 60_000)
}

describe('re-runs over HTTP', { timeout: 120_000 }, () => {
  it('USE-1 a technician runs, an owner uses: the limit is written with its figures as the reason', async () => {
    livePast()
    const started = await start(ORDER)
    expect(started.statusCode).toBe(202)
    const { id } = started.json<{ id: string }>()
    const view = await ended(id)
    expect([view.state, view.reason]).toEqual(['done', null])
    const [today, tried] = view.outcomes
    expect(today?.alarms).toEqual([{ condition: 'airDry', count: 3 }])
    expect(tried?.alarms).toEqual([])
    expect(view.onRecord).toEqual(today?.alarms)
    expect(view.outcomes.map((o) => o.value).sort((a, b) => a - b)).toEqual(view.values)

    const asTechnician = await shop.send('technician', {
      method: 'POST',
      url: `/api/v1/reruns/${id}/use`,
      payload: {},
    })
    expect(asTechnician.statusCode).toBe(403)
    const used = await shop.send('owner', { method: 'POST', url: `/api/v1/reruns/${id}/use`, payload: {} })
    expect(used.statusCode).toBe(204)
    const settings = shop.monitor.submitted.find((a) => a.type === 'settings')
    expect(settings?.settings.limits.airDryPct).toMatchObject({ openBelow: 38, closeAbove: 40 })
    expect(settings?.why).toContain('38 %RH instead of 40 %RH')

    const again = await shop.send('owner', { method: 'POST', url: `/api/v1/reruns/${id}/use`, payload: {} })
    expect(again.statusCode).toBe(409)
    expect(problemOf(again).detail).toContain('run it again')
  })

  it('USE-1 a change of the settings that is under way already is not written over', async () => {
    livePast()
    const { id } = (await start(ORDER)).json<{ id: string }>()
    await ended(id)
    const mine = { ...shop.monitor.settings(), limits: { ...shop.monitor.settings().limits } }
    mine.limits.airDryPct = { ...mine.limits.airDryPct, openBelow: 35 }
    const [changed, used] = await Promise.all([
      shop.send('owner', { method: 'PUT', url: '/api/v1/settings', payload: mine }),
      shop.send('owner', { method: 'POST', url: `/api/v1/reruns/${id}/use`, payload: {} }),
    ])
    expect([changed.statusCode, used.statusCode]).toEqual([204, 412])
    expect(shop.monitor.settings().limits.airDryPct.openBelow).toBe(35)
  })

  it('USE-2 a second is refused while one runs, and USE-3 one that is stopped keeps what was whole', async () => {
    livePast()
    const { id } = (await start(ORDER)).json<{ id: string }>()
    const second = await start(ORDER)
    expect(second.statusCode).toBe(409)
    expect(problemOf(second).detail).toContain('stop it first')
    const stopped = await shop.send('technician', { method: 'DELETE', url: `/api/v1/reruns/${id}` })
    expect(stopped.statusCode).toBe(204)
    const view = await look(id)
    expect(view.state).toBe('stopped')
    expect(view.outcomes.length).toBeLessThan(view.values.length)
    const use = await shop.send('owner', { method: 'POST', url: `/api/v1/reruns/${id}/use`, payload: {} })
    if (view.outcomes.length < 2) expect(use.statusCode).toBe(409)
    expect(
      (await shop.send('technician', { method: 'DELETE', url: `/api/v1/reruns/${id}` })).statusCode,
    ).toBe(409)
    expect((await start(ORDER)).statusCode).toBe(202)
  })

  it('an order that cannot be run is refused with the field and the cure', async () => {
    const wrong: [object, string][] = [
      [{ ...ORDER, limit: 'noSuch.limit' }, 'limit'],
      [{ ...ORDER, value: 40 }, 'today'],
      [{ ...ORDER, value: 140 }, 'between'],
      [{ ...ORDER, limit: 'airDryPct.closeAbove', value: 30 }, 'well side'],
      [{ ...ORDER, toMs: ORDER.fromMs }, 'toMs'],
      [{ ...ORDER, fromMs: 0 }, 'fromMs'],
      [{ ...ORDER, value: 'dry' }, 'value'],
    ]
    for (const [order, words] of wrong) {
      const refused = await start(order)
      expect([refused.statusCode >= 400 && refused.statusCode < 500, JSON.stringify(refused.json())]).toEqual(
        [true, expect.stringContaining(words)],
      )
    }
    const empty = await ended((await start(ORDER)).json<{ id: string }>().id)
    expect([empty.state, empty.reason]).toEqual(['failed', expect.stringContaining('choose a later one')])
    expect((await shop.send('owner', { url: '/api/v1/reruns/none' })).statusCode).toBe(404)
    expect(
      (await shop.send('owner', { url: '/api/v1/reruns/newest' })).json<{ rerun: RerunView }>().rerun.id,
    ).toBe(empty.id)
  })
})
