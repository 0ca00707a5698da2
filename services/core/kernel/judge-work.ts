import { routinesOf, subjectsOf } from '../advise/routines/routines-of.ts'
import { workKeyOf, workOfRoutine } from '../advise/tasks/works.ts'
import type { ActOutcome, HumanAct } from '../model/ports/monitor.ts'
import { subjectKey } from '../model/subject.ts'
import { openTaskOf } from './shop-tasks.ts'
import type { KernelState } from './state.ts'

type WorkType = 'taskAssigned' | 'taskDeferred' | 'routineStarted' | 'symptomReported' | 'disposalLogged'
type WorkAct<T extends WorkType = WorkType> = T extends unknown
  ? Omit<Extract<HumanAct, { type: T }>, 'atMs' | 'receivedMs'>
  : never

const DAY_MS = 86_400_000
/** Whoever puts work off for longer changes its routine. Starting value. */
const LONGEST_DEFERRAL_MS = 60 * DAY_MS
/** A clock of the one who writes may stand a little ahead of the monitor's. */
const AHEAD_MS = 5 * 60_000

/** Can this act about work be taken now? Refusals name the field and the cure. */
export function judgeWork(state: KernelState, act: WorkAct): ActOutcome {
  switch (act.type) {
    case 'taskAssigned':
      return judgeOpen(state, act.taskId) ?? OK
    case 'taskDeferred':
      return judgeOpen(state, act.taskId) ?? judgeDeferral(act)
    case 'routineStarted':
      return judgeStart(state, act)
    case 'symptomReported':
      return state.settings.machines.some((m) => m.id === act.machineId)
        ? OK
        : refuse('unknown', `machineId: there is no machine ${act.machineId}; add it under Setup`)
    case 'disposalLogged':
      return judgeDisposal(state, act)
  }
}

function judgeOpen({ shop }: KernelState, taskId: string): ActOutcome | null {
  return shop.tasks.has(taskId)
    ? null
    : refuse(
        'conflict',
        'this task is no longer open: it was signed off, missed, or is over. Reload the list',
      )
}

function judgeDeferral({ untilMs, reason, act }: WorkAct<'taskDeferred'>): ActOutcome {
  if (untilMs === null) return OK
  if (untilMs <= act.atMs) return refuse('invalid', 'untilMs: lies in the past; choose a later time')
  if (untilMs - act.atMs > LONGEST_DEFERRAL_MS)
    return refuse('invalid', 'untilMs: work is put off for 60 days at most; change its routine instead')
  return reason.trim() === '' ? refuse('invalid', 'reason: say in a few words why it is put off') : OK
}

function judgeStart(state: KernelState, { routineId, subject }: WorkAct<'routineStarted'>): ActOutcome {
  const { settings } = state
  const routine = routinesOf(settings).find((r) => r.id === routineId && r.on)
  if (!routine)
    return refuse('unknown', `routineId: there is no routine ${routineId}, or it is switched off; see Setup`)
  if (!subjectsOf(routine, settings).some((s) => subjectKey(s) === subjectKey(subject)))
    return refuse(
      'invalid',
      `subject: ${routine.title} is done for each ${routine.forEach}; name one of them`,
    )
  const open = openTaskOf(state, workKeyOf(workOfRoutine(routineId), subject, settings))
  return open ? refuse('conflict', `"${open.title}" is open already: see the list`) : OK
}

function judgeDisposal({ settings }: KernelState, act: WorkAct<'disposalLogged'>): ActOutcome {
  if (act.bottleId !== null && !settings.bottles.some((b) => b.id === act.bottleId))
    return refuse(
      'unknown',
      `bottleId: there is no bottle ${act.bottleId}; add it under Setup, or leave it open`,
    )
  return act.disposedMs > act.act.atMs + AHEAD_MS
    ? refuse('invalid', 'disposedMs: lies in the future; say when it left the shop')
    : OK
}

const OK: ActOutcome = { ok: true }

function refuse(code: 'unknown' | 'conflict' | 'invalid', reason: string): ActOutcome {
  return { ok: false, code, reason }
}
