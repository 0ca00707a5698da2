import { learnedOf } from '../model/learned.ts'
import type { MachineFacts } from '../track/machine.ts'
import { isRecognised } from '../track/recognition.ts'
import type { SubjectContext } from '../track/tracker.ts'
import type { Detector } from './detector.ts'

const HOUR_MS = 3_600_000

export interface NotCleaningState {
  open: boolean
}

/**
 * A machine that is on and no longer cleans itself.
 *
 * CLEAN-1 opens when a machine that is on was neither cleaning nor printing for `notCleaningIntervals` of its usual
 *         interval: the one that was told, else the one that was learned. Its value is the hours since.
 * CLEAN-2 stays off until five logged cleanings were recognised, and where the meter is too slow to see a cleaning.
 * CLEAN-3 closes when it cleans or prints, and when it goes off: then it has another trouble.
 * CLEAN-4 a silent meter sees no cleaning, so its silence says nothing: it counts anew from when it is heard again.
 */
export const notCleaning: Detector<NotCleaningState, MachineFacts> = {
  condition: 'notCleaning',
  hears: ['power', 'powered'],
  initial: () => ({ open: false }),
  onFacts: (state, { facts, context }) => {
    const { atMs } = facts
    if (!state.open || atMs === null || dueMs(facts, context) <= atMs) return null
    state.open = false
    return { type: 'closed', toMs: atMs, closedMs: atMs, worst: hoursSince(facts, atMs) }
  },
  deadlineMs: (state, { facts, context }) => (state.open ? Infinity : dueMs(facts, context)),
  onDeadline: (state, { facts }, atMs) => {
    state.open = true
    const value = hoursSince(facts, atMs)
    return { type: 'opened', fromMs: facts.workedMs ?? atMs, openedMs: atMs, value, worst: value }
  },
}

function dueMs(facts: MachineFacts, context: SubjectContext): number {
  const hours = usualIntervalH(context)
  const { workedMs, recognition, cleaningsVisible, power } = facts
  if (
    hours === null ||
    workedMs === null ||
    !isRecognised(recognition) ||
    !cleaningsVisible ||
    power.state === 'off'
  )
    return Infinity
  if (power.state === 'unknown' || power.state === 'cleaning' || power.state === 'printing') return Infinity
  return workedMs + hours * context.settings.limits.notCleaningIntervals * HOUR_MS
}

function hoursSince({ workedMs }: MachineFacts, atMs: number): number {
  return workedMs === null ? 0 : (atMs - workedMs) / HOUR_MS
}

/** Usual time between self-cleanings in hours: told, else learned; null where there are none, or nobody knows. */
export function usualIntervalH({ settings, subject, learned }: SubjectContext): number | null {
  const told = settings.machines.find((m) => m.id === subject.id)?.selfCleaning
  if (told?.kind === 'everyHours') return told.hours
  if (told?.kind === 'no') return null
  return learnedOf(learned, 'cleaningInterval', subject.id)?.hours ?? null
}
