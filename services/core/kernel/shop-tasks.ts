import { proofOf } from '../advise/tasks/proof.ts'
import { taskAdvice } from '../advise/task-advice.ts'
import { workKeyOf, workOfCondition } from '../advise/tasks/works.ts'
import { URGENCIES, type Alarm } from '../model/alarm.ts'
import type { Effect } from '../model/effect.ts'
import { isTaskOf, type Task } from '../model/task.ts'
import { factsOf } from './known-facts.ts'
import type { KernelState } from './state.ts'

type Emit = (effect: Effect) => void

export interface Now {
  readonly nowMs: number
  readonly emit: Emit
}

/** What a new task needs beside its words. */
type NewTask = Pick<
  Task,
  'origin' | 'subject' | 'workKey' | 'title' | 'why' | 'steps' | 'cautions' | 'supplies'
> &
  Partial<Task>

/**
 * Tasks of alarms, routines and symptoms in one list.
 *
 * TASK-1 the same work on the same subject is never open twice: who asks for it again joins the task that is open, and
 *        both reasons are told.
 * TASK-2 an alarm that joins a task gives it its own words and urgency, since they are about what is wrong now.
 * TASK-3 an alarm that is over takes its task with it, unless another alarm, or a routine or a symptom asks for it too. A
 *        routine or a symptom no longer asks for what sensors prove done.
 * TASK-4 a task of alarms has as much time as the most urgent of them that still holds: when the shop opens or closes, an
 *        alarm grows, or the most urgent is over, list and board say the same.
 */
export function openAlarmTask(
  state: KernelState,
  alarm: Alarm,
  { nowMs, emit, again = null, repeats = 0 }: Now & { again?: Task | null; repeats?: number },
): void {
  const advice = { tools: [], ...taskAdvice(alarm, state.settings) }
  const workKey = workKeyOf(workOfCondition(alarm.condition), alarm.subject, state.settings)
  const known = openTaskOf(state, workKey)
  if (!known && again) return takeUp(state, { ...again, ...advice, urgency: alarm.urgency }, { nowMs, emit })
  if (!known) {
    const { subject, urgency } = alarm
    const asked = { origin: 'alarm', alarmId: alarm.id, subject, urgency, workKey, repeats } as const
    addTask(state, { ...asked, ...advice }, { nowMs, emit })
    return
  }
  if (known.alarmId !== null && known.alarmId !== alarm.id) {
    known.joinedAlarmIds = [...known.joinedAlarmIds, alarm.id]
    known.otherReasons = withReason(known, advice.why)
    known.urgency = moreUrgent(known.urgency, alarm.urgency)
  } else {
    known.otherReasons = withReason({ ...known, why: advice.why }, known.why)
    Object.assign(known, advice, { alarmId: alarm.id, urgency: alarm.urgency, subject: alarm.subject })
  }
  tell(known, nowMs, emit)
}

/** TASK-4: the alarm has more or less time than it had. */
export function keepTaskUrgency(state: KernelState, alarm: Alarm, { nowMs, emit }: Now): void {
  for (const task of state.shop.tasks.values()) {
    if (!isTaskOf(task, alarm.id) || task.state !== 'open') continue
    const urgency = urgencyOfAlarms(state, task)
    if (urgency === task.urgency) continue
    task.urgency = urgency
    tell(task, nowMs, emit)
  }
}

function urgencyOfAlarms({ shop }: KernelState, task: Task): Task['urgency'] {
  const holding = [...shop.alarms.values()].filter((a) => isTaskOf(task, a.id) && a.returnedMs === null)
  const [first, ...others] = holding.map((a) => a.urgency)
  return first === undefined ? task.urgency : others.reduce(moreUrgent, first)
}

/** A task that was over comes back as the task it was. */
function takeUp({ shop }: KernelState, ended: Task, { nowMs, emit }: Now): void {
  const task: Task = { ...ended, state: 'open', closedMs: null }
  shop.tasks.set(task.id, task)
  tell(task, nowMs, emit)
}

/** An open task of this work, if there is one. */
export function openTaskOf({ shop }: KernelState, workKey: string): Task | undefined {
  for (const task of shop.tasks.values()) if (task.workKey === workKey && task.state === 'open') return task
  return undefined
}

export function addTask({ shop }: KernelState, given: NewTask, { nowMs, emit }: Now): Task {
  const task: Task = {
    alarmId: null,
    joinedAlarmIds: [],
    routineId: null,
    otherReasons: [],
    tools: [],
    urgency: 'today',
    dueMs: null,
    state: 'open',
    openedMs: nowMs,
    closedMs: null,
    assigneeId: null,
    deferred: null,
    signedOff: null,
    proof: [],
    repeats: 0,
    ...given,
    id: `task-${shop.nextTask++}`,
  }
  shop.tasks.set(task.id, task)
  tell(task, nowMs, emit)
  return task
}

/** A routine or a symptom asks for work that is open already. */
export function joinTask(
  task: Task,
  { why, routineId, dueMs }: { why: string; routineId: string | null; dueMs: number | null },
  { nowMs, emit }: Now,
): void {
  task.otherReasons = withReason(task, why)
  task.routineId ??= routineId
  task.dueMs ??= dueMs
  tell(task, nowMs, emit)
}

export function closeTask(
  { shop }: KernelState,
  task: Task,
  { state, closedMs }: { state: Task['state']; closedMs: number },
  { nowMs, emit }: Now,
): void {
  task.state = state
  task.closedMs = closedMs
  shop.tasks.delete(task.id)
  tell(task, nowMs, emit)
}

/** The alarm is over, was never so, or is about another trouble now: its tasks no longer need it. Gives those that ended. */
export function endAlarmTasks(
  state: KernelState,
  alarm: Alarm,
  { nowMs, emit, taskState }: Now & { taskState: 'overByItself' | 'withdrawn' },
): readonly Task[] {
  const ended: Task[] = []
  for (const task of state.shop.tasks.values()) {
    if (!isTaskOf(task, alarm.id) || task.state !== 'open') continue
    const [first = null, ...others] = [task.alarmId, ...task.joinedAlarmIds].filter((id) => id !== alarm.id)
    task.alarmId = first
    task.joinedAlarmIds = others.filter((id) => id !== null)
    if (first !== null) {
      task.urgency = urgencyOfAlarms(state, task)
      tell(task, nowMs, emit)
      continue
    }
    const isAskedBeside = task.routineId !== null || task.origin !== 'alarm'
    const proof = isAskedBeside ? proofOf(task, factsOf(state), nowMs) : null
    if (isAskedBeside && proof?.verdict !== 'proven') {
      task.urgency = 'today'
      tell(task, nowMs, emit)
      continue
    }
    // What it was for stays on record.
    task.alarmId = alarm.id
    if (proof) task.proof = [...task.proof, proof]
    closeTask(state, task, { state: taskState, closedMs: nowMs }, { nowMs, emit })
    ended.push(task)
  }
  return ended
}

/** Its lists are replaced and never changed in place, so a copy of the first level is enough. */
export function tell(task: Task, nowMs: number, emit: Emit): void {
  emit({ type: 'taskChanged', task: { ...task }, atMs: nowMs })
}

function withReason({ why, otherReasons }: Pick<Task, 'why' | 'otherReasons'>, reason: string): string[] {
  return reason === '' || reason === why || otherReasons.includes(reason)
    ? otherReasons
    : [...otherReasons, reason]
}

function moreUrgent(a: Task['urgency'], b: Task['urgency']): Task['urgency'] {
  return URGENCIES.indexOf(a) <= URGENCIES.indexOf(b) ? a : b
}
