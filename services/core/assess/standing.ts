import type { Alarm, AlarmState } from '../model/alarm.ts'
import type { Condition } from '../model/episode.ts'
import type { BoardView } from '../model/views.ts'

export type Standing = BoardView['machines'][number]['standing']

/**
 * How a machine stands, from the alarms that are not over and whether its sensors speak.
 *
 * STAND-1 an alarm to act on now outranks everything.
 * STAND-2 any other alarm about the machine itself means before opening.
 * STAND-3 a machine whose sensors are silent or not believed, or that has none, is unknown; unknown is never well.
 * STAND-4 what is over counts no more, whether or not somebody has said that they saw it.
 * STAND-5 a trouble that is set aside, shelved or in planned quiet, calls for nobody; but as long as it holds the machine
 *         is not well, it is set aside. Watching that is set aside still leaves it unknown.
 */
export function standingOf(alarms: readonly Alarm[], sensorsKnown: boolean): Standing {
  const holding = alarms.filter((a) => a.returnedMs === null)
  const real = holding.filter((a) => !ABOUT_WATCHING.includes(a.condition))
  const before = real.filter((a) => !SET_ASIDE.includes(a.state))
  if (before.some((a) => a.urgency === 'now')) return 'actNow'
  if (before.length > 0) return 'beforeOpening'
  if (!sensorsKnown || real.length < holding.length) return 'unknown'
  return real.length > 0 ? 'setAside' : 'well'
}

const SET_ASIDE: readonly AlarmState[] = ['shelved', 'suppressedByDesign', 'outOfService']

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

/** Those that nobody has taken aside before those that are over, and these before the set aside. */
function rankOfState({ state }: Alarm): number {
  return SET_ASIDE.includes(state) ? 2 : state === 'returnedUnacknowledged' ? 1 : 0
}

/** What stands before people first; then most urgent, a measured trouble before one of the watching, the oldest. */
export function byUrgency(a: Alarm, b: Alarm): number {
  const state = rankOfState(a) - rankOfState(b)
  if (state !== 0) return state
  const watching = Number(ABOUT_WATCHING.includes(a.condition)) - Number(ABOUT_WATCHING.includes(b.condition))
  return RANK[a.urgency] - RANK[b.urgency] || watching || a.openedMs - b.openedMs || (a.id < b.id ? -1 : 1)
}
