import { z } from 'zod'
import { subjectSchema } from './subject.ts'

/** Every condition the product can find. One file each, in `detect/`, or in `forecast/` for what is yet to come. */
export const CONDITIONS = [
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
  'bottleNear',
  'bottleFull',
  'bottleWillFill',
  'bottleMissing',
  'bottleLosingWeight',
  'wasteNotArriving',
  'sensorSilent',
  'sensorStuck',
  'sensorImplausible',
  'sensorOutOfStep',
  'readingsMissing',
  'clockAhead',
  'monitorDark',
] as const
export const conditionSchema = z.enum(CONDITIONS)
export type Condition = z.infer<typeof conditionSchema>

/**
 * One stretch of time in which a condition held. Two pairs of times, because a delay stands between a thing and
 * the certainty of it: it began at `fromMs` and was sure at `openedMs`; it was over at `toMs`, sure at `closedMs`.
 */
export const episodeSchema = z.strictObject({
  /** `{condition}|{subject key}|{fromMs}`: the same log gives the same id. */
  id: z.string(),
  condition: conditionSchema,
  subject: subjectSchema,
  /** Key of the subject whose readings decided it: a room for its sensors, a machine for its heads, else itself. */
  judgedUnder: z.string(),
  fromMs: z.int(),
  openedMs: z.int(),
  toMs: z.int().nullable(),
  closedMs: z.int().nullable(),
  /** What was measured when it opened, for the sentence: %RH, fill in %, W; null where nothing is. */
  value: z.number().nullable(),
  /** The worst value so far. */
  worst: z.number().nullable(),
  /** Was the shop closed when it opened? */
  shopClosed: z.boolean(),
})
export type Episode = z.infer<typeof episodeSchema>
