import { describe, expect, it } from 'vitest'
import { kernelFromJson, kernelToJson, type KernelState } from '../../../../../services/core/kernel/state.ts'
import { createWorkRun, routine, T0, DAY, HOUR } from '../../../../parts/work-run.ts'

const weekly = routine({ id: 'roller-look', trigger: { kind: 'calendar', rule: 'FREQ=WEEKLY;BYDAY=MO' } })
const open = (tasks: readonly { state: string }[]) => tasks.filter((t) => t.state === 'open')

describe('routines', () => {
  it('ROUTINE-1 a turn opens one task per subject, dated to the turn however late the clock is looked at', () => {
    const run = createWorkRun({ routines: [weekly] })
    run.clock(T0 + 6 * HOUR)
    // Monday 09:00 in Brussels is 08:00 UTC; T0 is the Sunday before, at noon.
    run.clock(T0 + 40 * HOUR)
    const turnMs = Date.UTC(2027, 0, 11, 8)
    expect(run.tasksOf('roller-look')).toMatchObject([
      {
        origin: 'routine',
        state: 'open',
        openedMs: turnMs,
        dueMs: turnMs,
        subject: { id: 'roll' },
        repeats: 0,
      },
    ])
    run.clock(T0 + 41 * HOUR)
    expect(run.tasksOf('roller-look')).toHaveLength(1)
  })

  it('ROUTINE-2 what is not done by its next turn is missed, and the next says how often in a row', () => {
    const run = createWorkRun({ routines: [weekly] })
    run.clock(T0 + 2 * DAY)
    run.say({ type: 'taskAssigned', taskId: run.tasksOf('roller-look')[0]?.id ?? '', assigneeId: 'mira' })
    run.clock(T0 + 16 * DAY)
    expect(run.tasksOf('roller-look')).toMatchObject([
      { state: 'missed', repeats: 0, closedMs: Date.UTC(2027, 0, 18, 8) },
      { state: 'missed', repeats: 1, closedMs: Date.UTC(2027, 0, 25, 8), assigneeId: 'mira' },
      { state: 'open', repeats: 2, assigneeId: 'mira' },
    ])
    run.signOff(run.openId('roller-look'))
    run.clock(T0 + 23 * DAY)
    expect(run.tasksOf('roller-look').at(-1)).toMatchObject({ state: 'open', repeats: 0 })
  })

  it('ROUTINE-3 a turn joins the task of an alarm for the same work, and both reasons are told', () => {
    const run = createWorkRun({})
    run.alarm('bottleNear', { kind: 'bottle', id: 'roll-waste' })
    run.clock(T0 + 2 * DAY)
    const bottles = run.tasks().filter((t) => t.workKey === 'emptyBottle|bottle:roll-waste')
    expect(bottles).toMatchObject([
      {
        origin: 'alarm',
        alarmId: 'alarm-1',
        routineId: 'waste-bottle',
        state: 'open',
        dueMs: Date.UTC(2027, 0, 11, 8),
      },
    ])
    expect(bottles[0]?.otherReasons).toEqual([expect.stringContaining('no sensor on the bottle')])
  })

  it('TASK-1 TASK-2 an alarm joins the task of a routine, with its own words and urgency', () => {
    const run = createWorkRun({})
    run.clock(T0 + 2 * DAY)
    run.alarm('bottleFull', { kind: 'bottle', id: 'roll-waste' })
    const bottles = run.tasks().filter((t) => t.workKey === 'emptyBottle|bottle:roll-waste')
    expect(bottles).toMatchObject([
      { origin: 'routine', alarmId: 'alarm-1', routineId: 'waste-bottle', state: 'open' },
    ])
    expect(bottles[0]?.title).toMatch(/before the next cleaning/)
    expect(bottles[0]?.otherReasons).toEqual([expect.stringContaining('no sensor on the bottle')])
  })

  it('TASK-3 an alarm that is over leaves the task to its routine, unless sensors prove it done', () => {
    const run = createWorkRun({})
    run.clock(T0 + 2 * DAY)
    run.alarm('bottleNear', { kind: 'bottle', id: 'roll-waste' })
    run.alarmOver('bottleNear', { kind: 'bottle', id: 'roll-waste' })
    expect(run.tasks().filter((t) => t.routineId === 'waste-bottle')).toMatchObject([
      { state: 'open', alarmId: null, urgency: 'today' },
    ])
    run.alarm('bottleNear', { kind: 'bottle', id: 'roll-waste' })
    run.knowBottle({ emptiedMs: run.nowMs() })
    run.alarmOver('bottleNear', { kind: 'bottle', id: 'roll-waste' })
    expect(run.tasks().filter((t) => t.routineId === 'waste-bottle')).toMatchObject([
      { state: 'overByItself', proof: [{ verdict: 'proven' }] },
    ])
  })

  it('ROUTINE-4 a task that an alarm asks for too is never missed', () => {
    const run = createWorkRun({})
    run.alarm('bottleNear', { kind: 'bottle', id: 'roll-waste' })
    run.clock(T0 + 16 * DAY)
    const bottles = run.tasks().filter((t) => t.workKey === 'emptyBottle|bottle:roll-waste')
    expect(bottles).toMatchObject([{ state: 'open', repeats: 2 }])
  })

  it('ROUTINE-5 printing time and cleanings count from when the work was last asked for or done', () => {
    const printed = routine({ id: 'by-hours', trigger: { kind: 'printHours', hours: 10 } })
    const cleaned = routine({ id: 'by-cleanings', trigger: { kind: 'cleanings', count: 3 } })
    const run = createWorkRun({ routines: [printed, cleaned] })
    run.knowMachine({ printedMs: 9 * HOUR, cleaningsSeen: 2 })
    run.clock(T0 + HOUR)
    expect([run.tasksOf('by-hours'), run.tasksOf('by-cleanings')]).toEqual([[], []])
    run.knowMachine({ printedMs: 11 * HOUR, cleaningsSeen: 3 })
    run.clock(T0 + 2 * HOUR)
    expect([open(run.tasksOf('by-hours')).length, open(run.tasksOf('by-cleanings')).length]).toEqual([1, 1])
    run.knowMachine({ printedMs: 15 * HOUR, cleaningsSeen: 3 })
    run.signOff(run.openId('by-hours'))
    run.knowMachine({ printedMs: 24 * HOUR, cleaningsSeen: 3 })
    run.clock(T0 + 3 * HOUR)
    expect(open(run.tasksOf('by-hours'))).toHaveLength(0)
    run.knowMachine({ printedMs: 25 * HOUR, cleaningsSeen: 6 })
    run.clock(T0 + 4 * HOUR)
    expect(run.tasksOf('by-hours').map((t) => t.state)).toEqual(['signedOff', 'open'])
    expect(run.tasksOf('by-cleanings').map((t) => t.state)).toEqual(['missed', 'open'])
  })

  it('ROUTINE-6 a machine that is out of service is asked nothing, also when the clock is looked at late', () => {
    const run = createWorkRun({ routines: [weekly] })
    const quiet = { kind: 'outOfService', machineId: 'roll', fromMs: T0, note: '' } as const
    run.say({ type: 'quietPlanned', quietId: 'q', ...quiet, toMs: T0 + 3 * DAY })
    run.clock(T0 + 5 * DAY)
    expect(run.tasksOf('roller-look')).toEqual([])
    run.clock(T0 + 9 * DAY)
    expect(run.tasksOf('roller-look')).toMatchObject([{ state: 'open' }])
  })

  it('ROUTINE-7 a routine that is switched off takes back its task, and gives an alarm its own', () => {
    const run = createWorkRun({ routines: [weekly] })
    run.clock(T0 + 2 * DAY)
    run.alarm('bottleNear', { kind: 'bottle', id: 'roll-waste' })
    const off = routine({ id: 'waste-bottle', forEach: 'bottle', on: false })
    run.settings({ routines: [{ ...weekly, on: false }, off] })
    expect(run.tasksOf('roller-look')).toMatchObject([{ state: 'withdrawn', alarmId: null }])
    expect(run.tasks().find((t) => t.alarmId === 'alarm-1')).toMatchObject({ state: 'open', routineId: null })
    expect(run.tasks().filter((t) => t.state === 'open' && t.routineId === 'pinch-rollers')).toHaveLength(1)
  })

  it('a routine that comes under watch asks nothing for the time before', () => {
    const run = createWorkRun({})
    run.clock(T0 + 30 * DAY)
    run.settings({ routines: [weekly] })
    run.clock(T0 + 30 * DAY + HOUR)
    expect(run.tasksOf('roller-look')).toEqual([])
  })

  it('its progress survives JSON', () => {
    const run = createWorkRun({ routines: [weekly] })
    run.clock(T0 + 9 * DAY)
    const kept: KernelState = kernelFromJson(kernelToJson(run.state()))
    expect(kept.shop.routines).toEqual(run.state().shop.routines)
    expect(kernelToJson(kept)).toBe(kernelToJson(run.state()))
  })
})
