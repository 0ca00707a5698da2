import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { judgeAct } from '../../services/core/kernel/judge-act.ts'
import type { Task } from '../../services/core/model/task.ts'
import { createWorkRun, routine, DAY, HOUR } from '../parts/work-run.ts'

/** Weekdays as `Date.getUTCDay` counts them. */
const ROUTINES = [
  { id: 'at-half-two', days: [0, 1, 2, 3, 4, 5, 6], time: '02:30', rule: 'FREQ=DAILY' },
  { id: 'at-nine', days: [0, 1, 2, 3, 4, 5, 6], time: '09:00', rule: 'FREQ=DAILY' },
  { id: 'twice-a-week', days: [0, 3], time: '02:00', rule: 'FREQ=WEEKLY;BYDAY=SU,WE' },
] as const
const MACHINES = ['left', 'right'] as const
const BOTTLE = { kind: 'bottle', id: 'roll-waste' } as const

/** Brussels: clocks went back at 25 October 2026 01:00 UTC, and go forward at 28 March 2027 01:00 UTC. */
const NIGHTS = [
  { name: 'forward', changeMs: Date.UTC(2027, 2, 28, 1), before: 1, after: 2 },
  { name: 'back', changeMs: Date.UTC(2026, 9, 25, 1), before: 2, after: 1 },
] as const
type Night = (typeof NIGHTS)[number]

/** By hand, from the offsets alone: a time in the gap is told by the clock of before it, one that comes twice is the first. */
function occurrenceMs(dayMs: number, time: string, { changeMs, before, after }: Night): number {
  const [hour = 0, minute = 0] = time.split(':').map(Number)
  const localMs = dayMs + hour * HOUR + minute * 60_000
  const byBefore = localMs - before * HOUR
  const byAfter = localMs - after * HOUR
  return byBefore < changeMs || byAfter < changeMs ? byBefore : byAfter
}

function occurrences({ days, time }: (typeof ROUTINES)[number], night: Night, fromMs: number, toMs: number) {
  const found: number[] = []
  for (let dayMs = fromMs - (fromMs % DAY) - DAY; dayMs <= toMs + DAY; dayMs += DAY) {
    const atMs = occurrenceMs(dayMs, time, night)
    const isDay = (days as readonly number[]).includes(new Date(dayMs).getUTCDay())
    if (isDay && atMs > fromMs && atMs <= toMs) found.push(atMs)
  }
  return found
}

type Step =
  | { readonly kind: 'wait'; readonly hours: number }
  | { readonly kind: 'sign' | 'start'; readonly routine: number; readonly machine: number }
  | { readonly kind: 'restart' | 'alarm' | 'alarmOver' }

const place = {
  routine: fc.integer({ min: 0, max: ROUTINES.length - 1 }),
  machine: fc.integer({ min: 0, max: 1 }),
}
const steps = fc.array(
  fc.oneof(
    {
      weight: 6,
      arbitrary: fc.record({
        kind: fc.constant('wait' as const),
        hours: fc.double({ min: 0.05, max: 60, noNaN: true }),
      }),
    },
    {
      weight: 4,
      arbitrary: fc.record({ kind: fc.constantFrom('sign' as const, 'start' as const), ...place }),
    },
    {
      weight: 5,
      arbitrary: fc.record({
        kind: fc.constantFrom('restart' as const, 'alarm' as const, 'alarm' as const, 'alarmOver' as const),
      }),
    },
  ),
  { minLength: 20, maxLength: 40 },
)

const counts = {
  tasks: 0,
  missed: 0,
  signed: 0,
  lateLooks: 0,
  restartsWithOpen: 0,
  inTheGap: 0,
  twice: 0,
  joined: 0,
  startRefused: 0,
}

/** One shop of two machines with routines of its own beside the ready-made ones, from a day and a half before the night. */
function createRun({ changeMs }: Night) {
  const fromMs = changeMs - 37 * HOUR
  const routines = ROUTINES.map(({ id, rule, time }) =>
    routine({ id, trigger: { kind: 'calendar', rule, time, startsOn: '2026-01-05' } }),
  )
  const machines = MACHINES.map((id) => ({ id, title: id, room: 'floor' }))
  const bottle = { id: BOTTLE.id, title: 'Waste', machines: ['left'], capacityMl: 2000, tareKg: 0.2 }
  return { fromMs, run: createWorkRun({ routines, machines, bottles: [bottle] }, { fromMs }) }
}
type Run = ReturnType<typeof createRun>['run']

function take(run: Run, step: Step): void {
  const isOpen = (t: Task): boolean => t.state === 'open'
  switch (step.kind) {
    case 'wait':
      return run.clock(run.nowMs() + Math.round(step.hours * HOUR))
    case 'restart':
      if (run.tasks().some(isOpen)) counts.restartsWithOpen++
      return run.restart()
    case 'alarm':
      return run.alarm('bottleNear', BOTTLE)
    case 'alarmOver':
      return run.alarmOver('bottleNear', BOTTLE)
    case 'sign': {
      const { id } = ROUTINES[step.routine] ?? ROUTINES[0]
      const task = run.tasksOf(id).find((t) => isOpen(t) && t.subject.id === MACHINES[step.machine])
      if (task) run.signOff(task.id)
      return
    }
    case 'start': {
      const { id } = ROUTINES[step.routine] ?? ROUTINES[0]
      const subject = { kind: 'machine', id: MACHINES[step.machine] ?? 'left' } as const
      const said = { type: 'routineStarted', routineId: id, subject } as const
      const act = { actorId: 'ana', via: 'screen', atMs: run.nowMs() } as const
      if (judgeAct(run.state(), { ...said, act }).ok) run.say(said)
      else counts.startRefused++
    }
  }
}

function expectNoWorkTwice(run: Run): void {
  const open = run.tasks().filter((t) => t.state === 'open')
  const keys = open.map((t) => t.workKey)
  expect(keys, 'open work').toEqual([...new Set(keys)])
}

function expectEachTurnOnce(run: Run, night: Night, fromMs: number): void {
  for (const one of ROUTINES) {
    const due = occurrences(one, night, fromMs, run.nowMs())
    for (const machine of MACHINES) {
      const all = run.tasksOf(one.id).filter((t) => t.subject.id === machine)
      const turns = all.filter((t) => t.dueMs !== null)
      expect(
        turns.map((t) => t.dueMs),
        `${one.id} of ${machine}`,
      ).toEqual(due)
      all.forEach((task, at) => {
        const next = all[at + 1]
        if (task.state === 'missed') expect(task.closedMs).toBe(next?.dueMs)
        else expect(task.state, 'only the last is open').toBe(next ? 'signedOff' : task.state)
        // How often in a row: one more after a missed one, else none.
        if (next) expect(next.repeats).toBe(task.state === 'missed' ? task.repeats + 1 : 0)
        if (task.state === 'missed') counts.missed++
        if (task.state === 'signedOff') counts.signed++
      })
      counts.tasks += turns.length
      counts.inTheGap += due.filter(
        (ms) => one.time !== '09:00' && night.name === 'forward' && isOfNight(ms, night),
      ).length
      counts.twice += due.filter(
        (ms) => one.time !== '09:00' && night.name === 'back' && isOfNight(ms, night),
      ).length
    }
  }
}

const isOfNight = (ms: number, { changeMs }: Night): boolean => Math.abs(ms - changeMs) <= HOUR

describe('routines, whatever happens in whatever order', { timeout: 120_000 }, () => {
  it('ROUTINE-1 ROUTINE-2 TASK-1 each turn is one task per machine over both clock changes and restarts; none is open twice', () => {
    for (const night of NIGHTS) {
      fc.assert(
        fc.property(steps, (told) => {
          const { run, fromMs } = createRun(night)
          for (const step of told) {
            const before = run.tasks().length
            take(run, step)
            expectNoWorkTwice(run)
            if (step.kind === 'wait' && run.tasks().length - before > 8) counts.lateLooks++
          }
          expectEachTurnOnce(run, night, fromMs)
          counts.joined += run
            .tasks()
            .filter((t) => t.alarmId !== null && t.routineId === 'waste-bottle').length
        }),
        { numRuns: 40 },
      )
    }
    for (const [what, count] of Object.entries(counts))
      expect(count, `${what}: ${JSON.stringify(counts)}`).toBeGreaterThan(10)
  })
})
