import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { ASSESSED_MS } from '../../services/core/alarms/measures/alarm-measures.ts'
import type { AlarmMeasures } from '../../services/core/model/alarm-measures.ts'
import type { Alarm } from '../../services/core/model/alarm.ts'
import { alarm } from '../contracts/record-samples.ts'
import { openWebShop, problemOf, type WebShop } from '../parts/web-shop.ts'

let shop: WebShop
beforeEach(async () => {
  shop = await openWebShop()
})
afterEach(() => shop.close())

const SHELVING = '/api/v1/alarms/alarm-1/shelving'
const record = (...told: [Partial<Alarm>, number][]) =>
  shop.book.transaction(() =>
    shop.book.applyEffects(
      1,
      told.map(([change, atMs]) => ({ type: 'alarmChanged' as const, alarm: alarm('a', change), atMs })),
    ),
  )
const shelve = (payload: object, role: 'technician' | 'operator' = 'technician') =>
  shop.send(role, { method: 'POST', url: SHELVING, payload })

describe('alarms', () => {
  it('ALARMS-1 all that are not normal are listed, with the names of who is on them and who shelved them', async () => {
    shop.headersOf('operator')
    const act = { actorId: 'person-operator', via: 'screen' as const, atMs: 9 }
    const shelved = { act, untilMs: 99, reason: 'x', condition: 'airDry' as const }
    record([{ state: 'shelved', shelved, acknowledged: act }, 9])
    const list = () =>
      shop.send('viewer', { url: '/api/v1/alarms' }).then((r) => r.json<{ alarms: object[] }>())
    expect((await list()).alarms).toMatchObject([
      { state: 'shelved', acknowledgedBy: 'The operator', shelvedBy: 'The operator' },
    ])
    record([{ state: 'normal' }, 10])
    expect((await list()).alarms).toEqual([])
  })

  it('ALARMS-2 a technician shelves for minutes or until a time, with a reason; an operator may not', async () => {
    expect((await shelve({ minutes: 90, reason: ' the hauler comes ' })).statusCode).toBe(204)
    const nowMs = shop.monitor.nowMs()
    expect((await shelve({ untilMs: nowMs + 5, reason: 'x' })).statusCode).toBe(204)
    expect(shop.monitor.submitted).toMatchObject([
      { type: 'alarmShelved', alarmId: 'alarm-1', untilMs: nowMs + 90 * 60_000, reason: 'the hauler comes' },
      { type: 'alarmShelved', untilMs: nowMs + 5, act: { actorId: 'person-technician' } },
    ])
    expect((await shelve({ minutes: 90, reason: 'x' }, 'operator')).statusCode).toBe(403)
  })

  it('ALARMS-3 no reason, no time, both times or eight days are refused, naming the field', async () => {
    const refused = async (payload: object) => {
      const answer = await shelve(payload)
      return [answer.statusCode, problemOf(answer).errors?.map((e) => e.pointer)]
    }
    expect(await refused({ minutes: 5, reason: ' ' })).toEqual([422, ['/reason']])
    expect(await refused({ reason: 'x' })).toEqual([422, ['/minutes']])
    expect(await refused({ minutes: 5, untilMs: 5, reason: 'x' })).toEqual([422, ['/minutes']])
    expect(await refused({ minutes: 8 * 24 * 60, reason: 'x' })).toEqual([422, ['/minutes']])
    expect(shop.monitor.submitted).toEqual([])
  })

  it('ALARMS-4 it is taken down by hand; what cannot be is refused with the reason', async () => {
    const down = () => shop.send('owner', { method: 'DELETE', url: SHELVING })
    expect((await down()).statusCode).toBe(204)
    expect(shop.monitor.submitted).toMatchObject([{ type: 'alarmUnshelved', alarmId: 'alarm-1' }])
    shop.monitor.answer({ ok: false, code: 'conflict', reason: 'this alarm is not on the shelf any more' })
    expect(problemOf(await down())).toMatchObject({
      status: 409,
      detail: 'this alarm is not on the shelf any more',
    })
  })

  it('ALARMS-5 the measures are of the last 30 days, or of as many as there are', async () => {
    const nowMs = shop.monitor.nowMs()
    const measures = async () =>
      (await shop.send('viewer', { url: '/api/v1/alarms/measures' })).json<AlarmMeasures>()
    expect(await measures()).toMatchObject({ days: 0, asked: 0, isCalm: true })
    const begin = (atMs: number) =>
      shop.book.transaction(() =>
        shop.book.appendInput({ type: 'deadline', seq: shop.book.lastSeq() + 1, atMs, receivedMs: atMs }),
      )
    begin(nowMs - 50 * 24 * 3_600_000)
    record(
      [{}, nowMs - ASSESSED_MS - 1],
      [{ state: 'acknowledged' }, nowMs - 900],
      [{ activations: 2 }, nowMs],
    )
    expect(await measures()).toMatchObject({ fromMs: nowMs - ASSESSED_MS, toMs: nowMs, days: 30, asked: 1 })
  })
})
