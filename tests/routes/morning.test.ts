import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { MorningView } from '../../services/core/model/morning.ts'
import { openWebShop, type WebShop } from '../parts/web-shop.ts'
import { inventedAlarmList } from '../parts/invented-alarm-list.ts'

let shop: WebShop
beforeAll(async () => {
  shop = await openWebShop()
})
afterAll(() => shop.close())

describe('the morning report over HTTP', () => {
  it('tells of the last night, and lists those before it', async () => {
    const answer = await shop.send('viewer', { url: '/api/v1/morning' })
    expect(answer.statusCode).toBe(200)
    const view = answer.json<MorningView>()
    expect(view.sentence).toMatch(/not all of the night was seen/)
    expect(view.earlier[0]).toBe(view.night.date)
    expect(view.earlier.length).toBeGreaterThan(5)
  })
  it('tells of an earlier night by the day on which it began', async () => {
    const { earlier } = (await shop.send('viewer', { url: '/api/v1/morning' })).json<MorningView>()
    const answer = await shop.send('viewer', { url: `/api/v1/morning?night=${earlier[2]}` })
    expect(answer.json<MorningView>().night.date).toBe(earlier[2])
  })
  it('a day without a night and a day that is none are refused with the cure', async () => {
    const unknown = await shop.send('viewer', { url: '/api/v1/morning?night=2001-01-01' })
    expect(unknown.statusCode).toBe(404)
    expect(unknown.body).toContain('give a day from the list of earlier nights')
    expect((await shop.send('viewer', { url: '/api/v1/morning?night=today' })).statusCode).toBe(400)
  })
  it('"seen" acknowledges what is over, and nothing that still holds', async () => {
    const [first, second] = inventedAlarmList(1_800_000_000_000)
    if (!first || !second) throw new Error('two alarms are needed')
    const atMs = 1_799_990_000_000
    shop.book.transaction(() => {
      shop.book.appendInput({ type: 'deadline', seq: shop.book.lastSeq() + 1, atMs, receivedMs: atMs })
      shop.book.applyEffects(shop.book.lastSeq(), [
        {
          type: 'alarmChanged',
          alarm: { ...first, state: 'returnedUnacknowledged', returnedMs: atMs },
          atMs,
        },
        { type: 'alarmChanged', alarm: { ...second, state: 'unacknowledged', returnedMs: null }, atMs },
      ])
    })
    const answer = await shop.send('operator', { method: 'POST', url: '/api/v1/morning/seen' })
    expect(answer.statusCode).toBe(204)
    expect(shop.monitor.submitted).toMatchObject([{ type: 'alarmAcknowledged', alarmId: first.id }])
  })
})
