import type { Priority, Urgency } from '../model/alarm.ts'
import type { Condition } from '../model/episode.ts'

/**
 * What it leads to if nobody acts. `severe`: a head or machine comes to harm, or ink is on the floor. `serious`: lost
 * work, ink or cleaning, harm only if it lasts. `minor`: something is known less well than it could be.
 */
type Severity = 'severe' | 'serious' | 'minor'

const SEVERITY: Readonly<Record<Condition, Severity>> = {
  headDrying: 'severe',
  headWillDry: 'severe',
  offItsCap: 'severe',
  bottleFull: 'severe',
  bottleWillFill: 'severe',
  bottleMissing: 'severe',
  mainsLost: 'severe',
  airVeryDry: 'serious',
  airDry: 'serious',
  airDamp: 'serious',
  roomCold: 'serious',
  roomWarm: 'serious',
  notCleaning: 'serious',
  stoppedOnError: 'serious',
  idleTooLong: 'serious',
  powerLost: 'serious',
  leftOff: 'serious',
  powerFlickering: 'serious',
  bottleNear: 'serious',
  bottleLosingWeight: 'serious',
  wasteNotArriving: 'serious',
  monitorDark: 'minor',
  sensorSilent: 'minor',
  sensorStuck: 'minor',
  sensorImplausible: 'minor',
  sensorOutOfStep: 'minor',
  readingsMissing: 'minor',
  clockAhead: 'minor',
}

/**
 * PRIORITY-1 priority follows from the severity of the consequence and the time there is to act, as ISA-18.2 asks, and
 * from nothing else. The table is ours: starting values, to be held against the mix that the measures show.
 *
 * |         | now    | before opening | today  |
 * | ------- | ------ | -------------- | ------ |
 * | severe  | high   | medium         | medium |
 * | serious | high   | low            | low    |
 * | minor   | medium | low            | low    |
 */
const PRIORITY: Readonly<Record<Severity, Readonly<Record<Urgency, Priority>>>> = {
  severe: { now: 'high', beforeOpening: 'medium', today: 'medium' },
  serious: { now: 'high', beforeOpening: 'low', today: 'low' },
  minor: { now: 'medium', beforeOpening: 'low', today: 'low' },
}

export function priorityOf(condition: Condition, urgency: Urgency): Priority {
  return PRIORITY[SEVERITY[condition]][urgency]
}
