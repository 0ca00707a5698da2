import type { Alarm } from '../model/alarm.ts'
import type { BoardView } from '../model/views.ts'

export type Standing = BoardView['machines'][number]['standing']

/**
 * How a machine stands, from the alarms that are not over and whether its sensors speak.
 *
 * STAND-1 an alarm to act on now outranks everything.
 * STAND-2 any other alarm about the machine itself means before opening.
 * STAND-3 a machine whose sensors are silent, or that has none, is unknown; unknown is never well.
 */
export function standingOf(alarms: readonly Alarm[], sensorsKnown: boolean): Standing {
  const real = alarms.filter((a) => a.condition !== 'sensorSilent')
  if (real.some((a) => a.urgency === 'now')) return 'actNow'
  if (real.length > 0) return 'beforeOpening'
  return sensorsKnown && real.length === alarms.length ? 'well' : 'unknown'
}

const RANK = { now: 0, beforeOpening: 1, today: 2 } as const

/** Most urgent first, then a measured trouble before a silent sensor, then the oldest. */
export function byUrgency(a: Alarm, b: Alarm): number {
  const silent = Number(a.condition === 'sensorSilent') - Number(b.condition === 'sensorSilent')
  return RANK[a.urgency] - RANK[b.urgency] || silent || a.openedMs - b.openedMs || (a.id < b.id ? -1 : 1)
}
