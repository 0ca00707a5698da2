import type { KernelState } from '../core/kernel/state.ts'
import type { OpeningCalendar } from '../core/model/opening-hours.ts'
import type { PastAct } from '../monitor/backfill.ts'

const MINUTE_MS = 60_000
const AFTER_OPENING_MS = 20 * MINUTE_MS
/** Of the last day nobody has seen anything yet, so that there is something to look at. */
const LEFT_ALONE_MS = 24 * 60 * MINUTE_MS

/** Opening after opening, a little after the door: when somebody of the invented shop goes round. */
export function* roundsOf(
  calendar: OpeningCalendar,
  { fromMs, throughMs }: { fromMs: number; throughMs: number },
): Iterable<number> {
  for (let atMs = calendar.nextOpeningAfter(fromMs); atMs !== null; atMs = calendar.nextOpeningAfter(atMs)) {
    if (atMs + AFTER_OPENING_MS > throughMs - LEFT_ALONE_MS) return
    yield atMs + AFTER_OPENING_MS
  }
}

/** What they do on such a round: look at the alarms of the night, and do the routines that wait. */
export function actsOfARound({ shop }: KernelState, actorId: string, atMs: number): readonly PastAct[] {
  const act = { actorId, via: 'screen', atMs } as const
  const unseen = [...shop.alarms.values()].filter(
    (a) => a.state === 'unacknowledged' || a.state === 'returnedUnacknowledged',
  )
  // A bottle is emptied in the simulated shop, or not; who signs for it without that is contradicted by the scale.
  const routines = [...shop.tasks.values()].filter(
    (t) => t.routineId !== null && t.alarmId === null && t.subject.kind !== 'bottle',
  )
  return [
    ...unseen.map((a): PastAct => ({ type: 'alarmAcknowledged', act, alarmId: a.id })),
    ...routines.map((t): PastAct => ({ type: 'taskSignedOff', act, taskId: t.id, note: '' })),
  ]
}
