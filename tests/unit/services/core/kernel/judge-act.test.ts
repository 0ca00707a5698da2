import { describe, expect, it } from 'vitest'
import { judgeAct } from '../../../../../services/core/kernel/judge-act.ts'
import { initialKernel } from '../../../../../services/core/kernel/state.ts'
import { alarmOf, episodeOf } from '../alarms/every-condition.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

const act = { actorId: 'ana', via: 'screen' as const, atMs: 0 }
const judge = (body: Parameters<typeof judgeAct>[1]) => judgeAct(initialKernel(testSettings()), body)
const quiet = { type: 'quietPlanned' as const, act, quietId: 'q', kind: 'powerWork' as const, note: '' }

describe('what people say', () => {
  it('of a machine that is not there is refused, with the cure', () => {
    const said = { act, machineId: 'attic' }
    const bodies: Parameters<typeof judgeAct>[1][] = [
      { type: 'capSaid', ...said, capped: true },
      { type: 'servicingSaid', ...said, servicing: true },
      { type: 'errorStopSaid', ...said, stopped: true },
      { type: 'careLogged', ...said, care: 'cleaned', channelGroupIds: [] },
    ]
    for (const body of bodies) {
      expect(judge(body)).toMatchObject({ ok: false, code: 'unknown' })
    }
  })
  it('of a channel group of another machine is refused by its name', () => {
    const care = { type: 'careLogged' as const, act, machineId: 'roll', care: 'cleaned' as const }
    expect(judge({ ...care, channelGroupIds: ['roll-white'] })).toEqual({ ok: true })
    expect(judge({ ...care, channelGroupIds: ['other-white'] })).toMatchObject({
      code: 'invalid',
      reason: expect.stringContaining('channelGroupIds') as string,
    })
  })
  it('quiet must end after it begins, and power work must say when', () => {
    expect(judge({ ...quiet, machineId: null, fromMs: 5, toMs: 9 })).toEqual({ ok: true })
    expect(judge({ ...quiet, machineId: null, fromMs: 9, toMs: 9 })).toMatchObject({ code: 'invalid' })
    expect(judge({ ...quiet, machineId: null, fromMs: 5, toMs: null })).toMatchObject({ code: 'invalid' })
    expect(judge({ ...quiet, machineId: 'attic', fromMs: 5, toMs: 9 })).toMatchObject({ code: 'unknown' })
    expect(judge({ ...quiet, kind: 'outOfService', machineId: 'roll', fromMs: 5, toMs: null })).toEqual({
      ok: true,
    })
  })
  it('quiet that is not there cannot be ended', () => {
    expect(judge({ type: 'quietEnded', act, quietId: 'q' })).toMatchObject({ code: 'unknown' })
  })
  it('a snooze is of an alarm that asks, by a contact there is, and lasts at most 60 minutes', () => {
    const state = initialKernel(testSettings({ contacts: [{ id: 'lena', title: 'Lena' }] }))
    state.shop.alarms.set('alarm-1', { ...alarmOf(episodeOf('offItsCap'), state.settings), id: 'alarm-1' })
    const said = (change: object) =>
      judgeAct(state, {
        type: 'alarmSnoozed',
        act,
        alarmId: 'alarm-1',
        contactId: 'lena',
        untilMs: 30 * 60_000,
        ...change,
      })
    expect(said({})).toEqual({ ok: true })
    expect(said({ untilMs: 60 * 60_000 })).toEqual({ ok: true })
    expect(said({ untilMs: 60 * 60_000 + 1 })).toMatchObject({ code: 'invalid' })
    expect(said({ untilMs: 0 })).toMatchObject({ code: 'invalid' })
    expect(said({ alarmId: 'alarm-9' })).toMatchObject({ code: 'unknown' })
    expect(said({ contactId: 'bo' })).toMatchObject({ code: 'unknown' })
    Object.assign(state.shop.alarms.get('alarm-1') ?? {}, { state: 'acknowledged' })
    expect(said({})).toMatchObject({ code: 'conflict' })
  })
  it('a test, and a proof of the way home, are of a contact there is', () => {
    const state = initialKernel(testSettings({ contacts: [{ id: 'lena', title: 'Lena' }] }))
    for (const type of ['noticeTestAsked', 'replyPathProven'] as const) {
      expect(judgeAct(state, { type, act, contactId: 'lena' })).toEqual({ ok: true })
      expect(judgeAct(state, { type, act, contactId: 'bo' })).toMatchObject({
        code: 'unknown',
        reason: expect.stringContaining('contactId') as string,
      })
    }
  })
})
