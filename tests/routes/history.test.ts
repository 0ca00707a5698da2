import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { HistoryView } from '../../services/core/model/history-view.ts'
import { openWebShop, problemOf, type WebShop } from '../parts/web-shop.ts'

let shop: WebShop
beforeEach(async () => {
  shop = await openWebShop()
})
afterEach(() => shop.close())

const HOUR = 3_600_000
const T0 = Math.floor(1_750_000_000_000 / HOUR) * HOUR
const get = (query: string) => shop.send('technician', { method: 'GET', url: `/api/v1/history?${query}` })

describe('GET /api/v1/history', () => {
  it('gives air and notes of a machine on one time axis, gaps as gaps', async () => {
    const settings = shop.monitor.settings()
    const humidity = settings.sensors.find((s) => s.quantity === 'humidity')
    const machine = settings.machines.find((m) => m.room === humidity?.subject.id)
    if (!humidity || !machine) throw new Error('the shop measures a room with a machine')
    const quarter = {
      machineId: machine.id,
      endMs: T0 + HOUR,
      seconds: { standby: 900 },
      cleanings: 0,
      uncappedS: 0,
      deficitKpa: 1.2,
      inks: [],
    }
    shop.book.transaction(() => {
      const stamp = { atMs: T0, receivedMs: T0 }
      const readings = [10, 70_000, 3 * HOUR].map((offsetMs, n) => ({
        sensorId: humidity.id,
        quantity: 'humidity' as const,
        atMs: T0 + offsetMs,
        value: 40 + n,
      }))
      shop.book.appendInput({ type: 'readings', ...stamp, seq: 1, nodeId: 'node', readings })
      shop.book.applyEffects(1, [{ type: 'quarterNoted', quarter }])
    })
    const answer = await get(
      `from=${T0}&to=${T0 + 4 * HOUR}&points=10&machines=${machine.id}&rooms=${machine.room}`,
    )
    expect(answer.statusCode).toBe(200)
    const view = answer.json<HistoryView>()
    expect(view.readings).toEqual({
      widthMs: HOUR / 2,
      startsMs: Array.from({ length: 8 }, (_, i) => T0 + (i * HOUR) / 2),
    })
    const [room] = view.rooms
    const [only] = view.machines
    expect(room?.humidityPct.low).toEqual([40, null, null, null, null, null, 42, null])
    expect(room?.humidityPct.high[0]).toBe(41)
    expect(only?.shares.standby).toEqual([null, 1, null, null, null, null, null, null])
  })
  it.each([
    ['from=2&to=1', 400, /to.*must be later than from/],
    ['from=a&to=1', 400, /from.*write a time in ms since 1970/],
    ['from=-1&to=1', 400, /from.*write a time in ms since 1970/],
    ['to=1', 400, /from.*write a time in ms since 1970/],
    ['from=0&to=99999999999999999', 400, /to.*write a time in ms since 1970/],
    ['from=0&to=1&rooms=nowhere', 404, /rooms: there is no room nowhere/],
    ['from=0&to=1&bottles=none', 404, /bottles: there is no bottle none/],
    [`from=0&to=1&machines=nobody`, 404, /machines: there is no machine nobody/],
    [`from=0&to=1&machines=${Array(11).fill('m').join(',')}`, 400, /at most 10 machines/],
  ])('%s is refused, naming the field', async (query, status, words) => {
    const answer = await get(query)
    expect(answer.statusCode).toBe(status)
    expect(JSON.stringify(problemOf(answer))).toMatch(words)
  })
})
