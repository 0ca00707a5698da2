import type { Condition } from '../model/episode.ts'

/**
 * Troubles of air, power and head: what may go before a clog, and whose cure changes what the night does to ink. A bottle
 * that is emptied dries nothing.
 */
export const OF_THE_INK: ReadonlySet<Condition> = new Set<Condition>([
  'airDry',
  'airVeryDry',
  'airDamp',
  'roomCold',
  'roomWarm',
  'headDrying',
  'headWillDry',
  'offItsCap',
  'notCleaning',
  'stoppedOnError',
  'idleTooLong',
  'powerLost',
  'leftOff',
  'powerFlickering',
  'mainsLost',
])
