import type { Alarm } from '../model/alarm.ts'
import type { Condition } from '../model/episode.ts'
import type { BoardView } from '../model/views.ts'

export type Standing = BoardView['machines'][number]['standing']

/**
 * How a machine stands, from the alarms that are not over and whether its sensors speak.
 *
 * STAND-1 an alarm to act on now outranks everything.
 * STAND-2 any other alarm about the machine itself means before opening.
 * STAND-3 a machine whose sensors are silent or not believed, or that has none, is unknown; unknown is never well.
 */
export function standingOf(alarms: readonly Alarm[], sensorsKnown: boolean): Standing {
  const real = alarms.filter((a) => !ABOUT_WATCHING.includes(a.condition))
  if (real.some((a) => a.urgency === 'now')) return 'actNow'
  if (real.length > 0) return 'beforeOpening'
  return sensorsKnown && real.length === alarms.length ? 'well' : 'unknown'
}

/** What is wrong with the watching itself: nothing is known then, which is another thing than a trouble. */
const ABOUT_WATCHING: readonly Condition[] = [
  'sensorSilent',
  'sensorStuck',
  'sensorImplausible',
  'sensorOutOfStep',
  'readingsMissing',
  'clockAhead',
  'monitorDark',
]

const RANK = { now: 0, beforeOpening: 1, today: 2 } as const

/** Most urgent first, then a measured trouble before one of the watching, then the oldest. */
export function byUrgency(a: Alarm, b: Alarm): number {
  const watching = Number(ABOUT_WATCHING.includes(a.condition)) - Number(ABOUT_WATCHING.includes(b.condition))
  return RANK[a.urgency] - RANK[b.urgency] || watching || a.openedMs - b.openedMs || (a.id < b.id ? -1 : 1)
}
