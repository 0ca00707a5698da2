import type { Condition, Episode } from '../model/episode.ts'
import type { ReasonContext } from './reason.ts'
import { urgencyOf } from './urgency.ts'

/** Weightiest first. What explains another stands before it, so that an alarm tells the cause and not the symptom. */
export const WEIGHTIEST_FIRST: readonly Condition[] = [
  'offItsCap',
  'headDrying',
  'headWillDry',
  'bottleMissing',
  'bottleFull',
  'bottleWillFill',
  'bottleLosingWeight',
  'wasteNotArriving',
  'bottleNear',
  'mainsLost',
  'leftOff',
  'powerLost',
  'powerFlickering',
  'stoppedOnError',
  'notCleaning',
  'idleTooLong',
  'airVeryDry',
  'airDry',
  'airDamp',
  'roomCold',
  'roomWarm',
  'monitorDark',
  'clockAhead',
  'sensorSilent',
  'readingsMissing',
  'sensorImplausible',
  'sensorStuck',
  'sensorOutOfStep',
]

/**
 * Of the open episodes of one alarm, the one whose reason is told.
 *
 * LEAD-1 what cannot wait is told before all that can, so that nothing urgent hides behind a weightier word.
 * LEAD-2 then the weightiest condition.
 * LEAD-3 of one condition the one with the greater value where that is a probability or a share, then the oldest, then
 *        the first by id: the same episodes give the same lead in whatever order they are given.
 */
export function leadOf(episodes: readonly Episode[], context: ReasonContext): Episode | undefined {
  let lead: Episode | undefined
  for (const episode of episodes) if (!lead || compare(episode, lead, context) < 0) lead = episode
  return lead
}

const BY_VALUE: ReadonlySet<Condition> = new Set(['headDrying', 'headWillDry', 'bottleWillFill'])

function compare(a: Episode, b: Episode, context: ReasonContext): number {
  const urgent = Number(isNow(b, context)) - Number(isNow(a, context))
  const weight = WEIGHTIEST_FIRST.indexOf(a.condition) - WEIGHTIEST_FIRST.indexOf(b.condition)
  const value = BY_VALUE.has(a.condition) ? (b.value ?? 0) - (a.value ?? 0) : 0
  return urgent || weight || value || a.fromMs - b.fromMs || (a.id < b.id ? -1 : 1)
}

function isNow(episode: Episode, context: ReasonContext): boolean {
  return urgencyOf(episode, context) === 'now'
}
