import type { QuietKind } from '../model/act.ts'
import type { Condition } from '../model/episode.ts'

/**
 * What explains what, on the same machine or in the whole shop: an episode joins the alarm of what explains it and is
 * told only when that is over and it is not (designed suppression, ISA-18.2). The trouble stays on record.
 *
 * EXPLAIN-1 nothing that may be urgent by itself is explained away: a head that dries or is off its cap, a bottle that
 *           runs over or is missing.
 * EXPLAIN-2 without mains there is no power at the machines, they cannot clean, the white ink is not moved, and nodes
 *           on the mains fall silent: one trouble.
 *           A machine that is off at closing is left off and without power: one event in two words, so each explains
 *           the other, and whichever comes second joins the first.
 * EXPLAIN-3 a machine that is off, or stopped on an error, neither cleans nor moves its white ink.
 * EXPLAIN-4 a bottle that is off its scale gets no waste and weighs nothing; one that is full or leaks does not grow
 *           heavier by what arrives.
 * EXPLAIN-5 what nodes could not hand over while the monitor was dark is missing for that reason.
 * EXPLAIN-6 dry air explains no drying head: the same air hurts one head and not another, and the head is what is at
 *           stake.
 */
export const SUPPRESSED_BY: Readonly<Record<Condition, readonly Condition[]>> = {
  airDry: ['airVeryDry'],
  airVeryDry: [],
  airDamp: [],
  roomCold: [],
  roomWarm: [],
  headDrying: [],
  headWillDry: [],
  offItsCap: [],
  notCleaning: ['mainsLost', 'leftOff', 'powerLost', 'powerFlickering', 'stoppedOnError'],
  stoppedOnError: [],
  idleTooLong: ['mainsLost', 'leftOff', 'powerLost', 'stoppedOnError'],
  powerLost: ['mainsLost', 'leftOff'],
  leftOff: ['mainsLost', 'powerLost'],
  powerFlickering: ['mainsLost'],
  mainsLost: [],
  bottleNear: ['bottleMissing', 'bottleFull'],
  bottleFull: [],
  bottleWillFill: [],
  bottleMissing: [],
  bottleLosingWeight: ['bottleMissing'],
  wasteNotArriving: ['bottleMissing', 'bottleFull', 'bottleLosingWeight'],
  sensorSilent: ['mainsLost'],
  sensorStuck: [],
  sensorImplausible: [],
  sensorOutOfStep: [],
  readingsMissing: ['monitorDark'],
  clockAhead: [],
  monitorDark: [],
}

/** Is `condition` what one expects where `other` holds for the same machine, or for the whole shop? */
export function isExplainedBy(condition: Condition, other: Condition): boolean {
  return SUPPRESSED_BY[condition].includes(other)
}

/**
 * What planned quiet covers.
 *
 * COVER-1 a machine out of service: all that is judged of the machine and its heads. Its bottle still runs over, and its
 *         room and sensors serve others.
 * COVER-2 work on the power: what follows from power that is off on purpose. Heads that dry meanwhile, or are off their
 *         cap, are told as ever.
 */
const COVERED: Readonly<Record<QuietKind, readonly Condition[]>> = {
  outOfService: [
    'headDrying',
    'headWillDry',
    'offItsCap',
    'notCleaning',
    'stoppedOnError',
    'idleTooLong',
    'powerLost',
    'leftOff',
    'powerFlickering',
  ],
  powerWork: ['powerLost', 'leftOff', 'powerFlickering', 'mainsLost', 'notCleaning', 'sensorSilent'],
}

export function quietCovers(kind: QuietKind, condition: Condition): boolean {
  return COVERED[kind].includes(condition)
}
