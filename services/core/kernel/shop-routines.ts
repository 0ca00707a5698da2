import { routineAdvice, turnsOf, type RoutineTurn } from '../advise/routines/routines-of.ts'
import type { Input } from '../model/input.ts'
import { isCounted } from '../model/routine.ts'
import type { Task } from '../model/task.ts'
import { factsOf } from './known-facts.ts'
import { isOutOfService } from './quiet.ts'
import { addTask, closeTask, joinTask, openTaskOf, tell, type Now } from './shop-tasks.ts'
import type { KernelState } from './state.ts'

const HOUR_MS = 3_600_000

/**
 * Routines, each on each of its subjects.
 *
 * ROUTINE-1 a turn opens one task per subject, dated to the turn itself however late the clock is looked at.
 * ROUTINE-2 where the task of the turn before is still open, it is missed, and the new one says how often in a row.
 * ROUTINE-3 where the same work is open for an alarm or a symptom, the turn joins it (TASK-1).
 * ROUTINE-4 a task that an alarm asks for too is never missed: it stays open, and counts how often its turn came.
 * ROUTINE-5 printing time and cleanings count from when the work was last asked for, or signed off if that is later.
 * ROUTINE-6 a machine that is out of service is asked nothing: its turn passes.
 * ROUTINE-7 a routine that was switched off, or whose subject is gone, takes back what only it asked for.
 */
export function fireRoutines(state: KernelState, input: Input, emit: Now['emit']): void {
  const { shop } = state
  const nowMs = Math.max(state.clockMs, input.receivedMs)
  if (shop.routinesSeq !== state.settingsSeq) followSettings(state, { nowMs, emit })
  for (const turn of dueTurns(state)) takeTurn(state, turn, { nowMs, emit })
  for (const turn of turnsOf(state.settings)) {
    if (isCounted(turn.routine.trigger)) countOn(state, turn, { nowMs, emit })
  }
}

/** When the next turn of a calendar routine comes, or Infinity. */
export function routinesDeadlineMs(state: KernelState): number {
  let soonest = Infinity
  for (const turn of turnsOf(state.settings)) {
    const nextMs = nextTurnMs(state, turn)
    if (nextMs < soonest) soonest = nextMs
  }
  return soonest
}

/** The next turn of a calendar routine on its subject; Infinity for others, and for one not yet under watch. */
function nextTurnMs({ shop }: KernelState, { key, nextAfter }: RoutineTurn): number {
  const progress = nextAfter && shop.routines.get(key)
  return progress ? (nextAfter(progress.throughMs) ?? Infinity) : Infinity
}

/** Turns whose time has come, the oldest first; of one instant in the order of the routines. */
function* dueTurns(state: KernelState): Generator<RoutineTurn & { readonly atMs: number }> {
  for (;;) {
    const atMs = routinesDeadlineMs(state)
    if (atMs > state.clockMs) return
    for (const turn of turnsOf(state.settings)) {
      if (nextTurnMs(state, turn) !== atMs) continue
      const progress = state.shop.routines.get(turn.key)
      if (progress) progress.throughMs = atMs
      yield { ...turn, atMs }
    }
  }
}

function followSettings(state: KernelState, now: Now): void {
  const { shop } = state
  shop.routinesSeq = state.settingsSeq
  const turns = new Map(turnsOf(state.settings).map((t) => [t.key, t]))
  for (const key of shop.routines.keys()) if (!turns.has(key)) shop.routines.delete(key)
  for (const turn of turns.values()) {
    if (shop.routines.has(turn.key)) continue
    shop.routines.set(turn.key, { throughMs: now.nowMs, countedFrom: countOf(state, turn) })
  }
  for (const task of shop.tasks.values()) {
    if (task.routineId !== null && !isStillAsked(task, turns)) takeBack(state, task, now)
  }
}

function isStillAsked({ routineId, workKey }: Task, turns: ReadonlyMap<string, RoutineTurn>): boolean {
  for (const turn of turns.values())
    if (turn.routine.id === routineId && turn.workKey === workKey) return true
  return false
}

function takeBack(state: KernelState, task: Task, now: Now): void {
  if (task.alarmId === null && task.origin === 'routine')
    return closeTask(state, task, { state: 'withdrawn', closedMs: now.nowMs }, now)
  task.routineId = null
  tell(task, now.nowMs, now.emit)
}

function takeTurn(state: KernelState, turn: RoutineTurn & { readonly atMs: number }, now: Now): void {
  const { subject, atMs } = turn
  const isAway = subject.kind === 'machine' && isOutOfService(state.shop.quiets.values(), subject.id, atMs)
  if (!isAway) askFor(state, turn, { dueMs: atMs, origin: 'routine', reason: null }, now)
}

function countOn(state: KernelState, turn: RoutineTurn, now: Now): void {
  const progress = state.shop.routines.get(turn.key)
  const { trigger } = turn.routine
  if (!progress) return
  const count = countOf(state, turn)
  // What was counted can grow less when late readings tell the past anew, or when the machine was taken out and put back.
  if (count < progress.countedFrom) progress.countedFrom = count
  const every =
    trigger.kind === 'printHours'
      ? trigger.hours * HOUR_MS
      : trigger.kind === 'cleanings'
        ? trigger.count
        : Infinity
  if (count - progress.countedFrom < every) return
  progress.countedFrom = count
  takeTurn(state, { ...turn, atMs: now.nowMs }, now)
}

function countOf(state: KernelState, { routine, subject }: RoutineTurn): number {
  const machine = factsOf(state).machine(subject.id)
  if (routine.trigger.kind === 'printHours') return machine?.printedMs ?? 0
  return routine.trigger.kind === 'cleanings' ? (machine?.power.cleaningsSeen ?? 0) : 0
}

export interface Asking {
  /** The turn; null for what somebody started. */
  readonly dueMs: number | null
  readonly origin: 'routine' | 'symptom'
  /** Why beside the routine's own reason. */
  readonly reason: string | null
}

/** Opens the task of a routine on its subject, or joins the one that is open for the same work. */
export function askFor(
  state: KernelState,
  { routine, subject, workKey }: Pick<RoutineTurn, 'routine' | 'subject' | 'workKey'>,
  { dueMs, origin, reason }: Asking,
  now: Now,
): void {
  const advice = routineAdvice(routine, subject, state.settings)
  const open = openTaskOf(state, workKey)
  const isTurnAgain = open?.routineId === routine.id && dueMs !== null
  if (open && !(isTurnAgain && open.alarmId === null)) {
    if (isTurnAgain) open.repeats++
    const why = reason ?? advice.why
    return joinTask(open, { why, routineId: origin === 'routine' ? routine.id : null, dueMs }, now)
  }
  if (open) closeTask(state, open, { state: 'missed', closedMs: dueMs ?? now.nowMs }, now)
  addTask(
    state,
    {
      origin,
      routineId: routine.id,
      subject,
      workKey,
      ...advice,
      otherReasons: reason === null ? [] : [reason],
      dueMs,
      openedMs: dueMs ?? now.nowMs,
      // Who was to do it is still to do it.
      assigneeId: open?.assigneeId ?? null,
      repeats: open ? open.repeats + 1 : 0,
    },
    now,
  )
}

/** The work was done: what is counted begins anew. */
export function noteRoutineDone(state: KernelState, task: Task): void {
  for (const turn of turnsOf(state.settings)) {
    const progress = turn.workKey === task.workKey ? state.shop.routines.get(turn.key) : undefined
    if (progress && isCounted(turn.routine.trigger)) progress.countedFrom = countOf(state, turn)
  }
}
