import { turnsOf, routinesOf } from '../advise/routines/routines-of.ts'
import { checkOf, SYMPTOM_ADVICE } from '../advise/symptoms.ts'
import { workKeyOf, workOfRoutine } from '../advise/tasks/works.ts'
import type { Act } from '../model/act.ts'
import type { Effect } from '../model/effect.ts'
import { live } from './alarm-life.ts'
import type { InputOf } from '../model/input.ts'
import { subjectKey } from '../model/subject.ts'
import { emitAlarm } from './shop-alarms.ts'
import { proveSignedOff } from './shop-proof.ts'
import { askFor, noteRoutineDone } from './shop-routines.ts'
import { closeTask, tell } from './shop-tasks.ts'
import type { KernelState } from './state.ts'

type Emit = (effect: Effect) => void

/** "I'm on it", or of what is over already: "I saw it". */
export function acknowledge(state: KernelState, alarmId: string, act: Act, emit: Emit): void {
  const alarm = state.shop.alarms.get(alarmId)
  if (alarm?.state !== 'unacknowledged' && alarm?.state !== 'returnedUnacknowledged') return
  live(state, alarm, { type: 'acknowledged' }, act.atMs)
  alarm.acknowledged = act
  emitAlarm(alarm, act.atMs, emit)
}

/** A signed-off task is done; whoever did it has also seen its alarms, which stay until the world is well. */
export function signOff(
  state: KernelState,
  taskId: string,
  { act, note }: { act: Act; note: string },
  emit: Emit,
): void {
  const task = state.shop.tasks.get(taskId)
  if (task?.state !== 'open') return
  task.signedOff = { ...act, note }
  task.deferred = null
  proveSignedOff(state, task, act.atMs)
  closeTask(state, task, { state: 'signedOff', closedMs: act.atMs }, { nowMs: act.atMs, emit })
  noteRoutineDone(state, task)
  for (const id of [task.alarmId, ...task.joinedAlarmIds]) if (id !== null) acknowledge(state, id, act, emit)
}

export function assignTask(
  { shop }: KernelState,
  { taskId, assigneeId, atMs }: InputOf<'taskAssigned'>,
  emit: Emit,
): void {
  const task = shop.tasks.get(taskId)
  if (!task) return
  task.assigneeId = assigneeId
  tell(task, atMs, emit)
}

/** A task that is put off stays open, and its alarm as it is: only the list shows it apart. */
export function deferTask({ shop }: KernelState, input: InputOf<'taskDeferred'>, emit: Emit): void {
  const task = shop.tasks.get(input.taskId)
  if (!task) return
  const { untilMs, reason, act } = input
  task.deferred = untilMs === null ? null : { untilMs, reason, act }
  tell(task, input.atMs, emit)
}

export function startRoutine(state: KernelState, input: InputOf<'routineStarted'>, emit: Emit): void {
  const { routineId, subject, atMs } = input
  const routine = routinesOf(state.settings).find((r) => r.id === routineId)
  if (!routine) return
  const turn = turnsOf(state.settings).find((t) => t.key === `${routineId}|${subjectKey(subject)}`)
  const workKey = turn?.workKey ?? workKeyOf(workOfRoutine(routineId), subject, state.settings)
  const asking = { dueMs: null, origin: 'routine', reason: null } as const
  askFor(state, { routine, subject, workKey }, asking, { nowMs: atMs, emit })
}

/** What somebody saw becomes the check that it asks for, with what they wrote. */
export function reportSymptom(state: KernelState, input: InputOf<'symptomReported'>, emit: Emit): void {
  const { symptom, machineId, note, atMs } = input
  const routine = checkOf(symptom, state.settings)
  const subject = { kind: 'machine', id: machineId } as const
  const workKey = workKeyOf(workOfRoutine(routine.id), subject, state.settings)
  const { title, reason } = SYMPTOM_ADVICE[symptom]
  const seen = `Seen at the machine: ${title.toLowerCase()}${note === '' ? '' : ` (${note})`}. ${reason}`
  askFor(
    state,
    { routine, subject, workKey },
    { dueMs: null, origin: 'symptom', reason: seen },
    { nowMs: atMs, emit },
  )
}

export function logDisposal(
  { disposalId, bottleId, volumeMl, toWhom, note, disposedMs, act, atMs }: InputOf<'disposalLogged'>,
  emit: Emit,
): void {
  const disposal = { disposalId, bottleId, volumeMl, toWhom, note, disposedMs, act }
  emit({ type: 'disposalLogged', disposal, atMs })
}
