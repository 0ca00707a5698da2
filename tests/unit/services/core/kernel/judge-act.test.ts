import { describe, expect, it } from 'vitest'
import { judgeAct } from '../../../../../services/core/kernel/judge-act.ts'
import { initialKernel } from '../../../../../services/core/kernel/state.ts'
import { ALARM_STATES, type AlarmState } from '../../../../../services/core/model/alarm.ts'
import type { ActOutcome } from '../../../../../services/core/model/ports/monitor.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'
import { alarmOf, episodeOf } from '../alarms/every-condition.ts'

const act = { actorId: 'ana', via: 'screen' as const, atMs: 0 }
const judge = (body: Parameters<typeof judgeAct>[1]) => judgeAct(initialKernel(testSettings()), body)
const quiet = { type: 'quietPlanned' as const, act, quietId: 'q', kind: 'powerWork' as const, note: '' }

const HOUR = 3_600_000

describe('the shelf', () => {
  const at = (state: AlarmState, hours = 4) => {
    const kernel = initialKernel(testSettings())
    const alarm = { ...alarmOf(episodeOf('airDry'), testSettings()), state }
    kernel.shop.alarms.set(alarm.id, alarm)
    const untilMs = act.atMs + hours * HOUR
    return {
      shelved: judgeAct(kernel, { type: 'alarmShelved', act, alarmId: alarm.id, untilMs, reason: 'x' }),
      takenDown: judgeAct(kernel, { type: 'alarmUnshelved', act, alarmId: alarm.id }),
      acknowledged: judgeAct(kernel, { type: 'alarmAcknowledged', act, alarmId: alarm.id }),
    }
  }
  const codes = (outcome: ActOutcome) => (outcome.ok ? 'ok' : outcome.code)

  it('SHELVE-1 takes what is before people or over unseen, and nothing that is normal or set aside', () => {
    const shelved = ALARM_STATES.map((state) => codes(at(state).shelved))
    expect(shelved).toEqual(['ok', 'ok', 'ok', 'conflict', 'conflict', 'conflict', 'conflict'])
  })
  it('SHELVE-4 ends after now, and within 7 days', () => {
    expect([0, 0.01, 168, 168.01].map((hours) => codes(at('unacknowledged', hours).shelved))).toEqual([
      'invalid',
      'ok',
      'ok',
      'invalid',
    ])
    expect(at('unacknowledged', 200).shelved).toMatchObject({
      reason: expect.stringContaining('7 days') as string,
    })
  })
  it('SHELVE-2 only what is shelved can be taken down', () => {
    expect(ALARM_STATES.map((state) => codes(at(state).takenDown)).filter((c) => c === 'ok')).toHaveLength(1)
    expect(codes(at('shelved').takenDown)).toBe('ok')
  })
  it('LIFE-12 what is set aside cannot be acknowledged, what is over unseen can', () => {
    const outcomes = ALARM_STATES.map((state) => codes(at(state).acknowledged))
    expect(outcomes).toEqual(['ok', 'conflict', 'ok', 'conflict', 'conflict', 'conflict', 'conflict'])
  })
  it('an alarm that is not there is refused, with the cure', () => {
    const reason = { ok: false, code: 'unknown', reason: 'there is no open alarm alarm-9: reload the page' }
    expect(judge({ type: 'alarmShelved', act, alarmId: 'alarm-9', untilMs: 1, reason: 'x' })).toEqual(reason)
    expect(judge({ type: 'alarmUnshelved', act, alarmId: 'alarm-9' })).toEqual(reason)
  })
})

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
