import { describe, expect, it } from 'vitest'
import { judgeAct } from '../../../../../services/core/kernel/judge-act.ts'
import { createWorkRun, DAY, routine, T0 } from '../../../../parts/work-run.ts'

type Act = Parameters<typeof judgeAct>[1]
type Given<T> = T extends { act: unknown } ? Omit<T, 'act'> : never
const ROLL = { kind: 'machine', id: 'roll' } as const
const off = routine({ id: 'off-duty', on: false })
const run = createWorkRun({ routines: [off] })
run.say({ type: 'routineStarted', routineId: 'around-head', subject: ROLL })
const openId = run.openId('around-head')

/** `ok`, or the code and the field that the reason names. */
function judged(body: Given<Act>): string {
  const act = { actorId: 'ana', via: 'screen' as const, atMs: T0 }
  const outcome = judgeAct(run.state(), { ...body, act })
  return outcome.ok ? 'ok' : `${outcome.code} ${outcome.reason.split(':')[0]}`
}
const deferred = (untilMs: number | null, reason = 'waits for film', taskId = openId) =>
  judged({ type: 'taskDeferred', taskId, untilMs, reason })
const started = (routineId: string, subject: { kind: 'machine' | 'room' | 'bottle'; id: string } = ROLL) =>
  judged({ type: 'routineStarted', routineId, subject })
const disposed = (given: { bottleId?: string | null; disposedMs?: number }) =>
  judged({
    type: 'disposalLogged',
    disposalId: 'd1',
    bottleId: null,
    volumeMl: 1400,
    toWhom: 'Harbour hauling',
    note: '',
    disposedMs: T0,
    ...given,
  })

describe('acts about work: can they be taken now?', () => {
  it('a task is given to somebody while it is open', () => {
    expect(judged({ type: 'taskAssigned', taskId: openId, assigneeId: 'mira' })).toBe('ok')
    expect(judged({ type: 'taskAssigned', taskId: 'task-99', assigneeId: 'mira' })).toMatch(/^conflict/)
  })
  it('a task is put off to a later time, for a reason, for 60 days at most, while it is open', () => {
    expect([deferred(T0 + 1), deferred(T0 + 60 * DAY), deferred(null, '')]).toEqual(['ok', 'ok', 'ok'])
    expect([deferred(T0), deferred(T0 + 60 * DAY + 1)]).toEqual(['invalid untilMs', 'invalid untilMs'])
    expect(deferred(T0 + DAY, '  ')).toBe('invalid reason')
    expect(deferred(T0 + DAY, 'x', 'task-99')).toMatch(/^conflict/)
  })
  it('a routine is started on one of its subjects, when it is on and its work is not open', () => {
    expect(started('move-white')).toBe('ok')
    expect([started('nothing-such'), started('off-duty')]).toEqual(['unknown routineId', 'unknown routineId'])
    expect([
      started('move-white', { kind: 'machine', id: 'another' }),
      started('move-white', { kind: 'room', id: 'floor' }),
    ]).toEqual(['invalid subject', 'invalid subject'])
    expect(started('around-head')).toMatch(/^conflict/)
  })
  it('a symptom is seen at a machine of the shop', () => {
    const seen = (machineId: string) =>
      judged({ type: 'symptomReported', machineId, symptom: 'marksOnFilm', note: '' })
    expect([seen('roll'), seen('another')]).toEqual(['ok', 'unknown machineId'])
  })
  it('a disposal is of a bottle of the shop or of none, and not of the future; clocks may differ by five minutes', () => {
    expect([
      disposed({}),
      disposed({ bottleId: 'roll-waste' }),
      disposed({ disposedMs: T0 - 90 * DAY }),
    ]).toEqual(['ok', 'ok', 'ok'])
    expect(disposed({ bottleId: 'another' })).toBe('unknown bottleId')
    expect([disposed({ disposedMs: T0 + 300_000 }), disposed({ disposedMs: T0 + 300_001 })]).toEqual([
      'ok',
      'invalid disposedMs',
    ])
  })
})
