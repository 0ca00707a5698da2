import { z } from 'zod'
import { actSchema } from './act.ts'
import { conditionSchema } from './episode.ts'
import { subjectSchema } from './subject.ts'

/**
 * States of an alarm after ISA-18.2 / IEC 62682, in the words of those standards. `returnedUnacknowledged`: its
 * condition is over and nobody has said yet that they saw it.
 */
export const ALARM_STATES = [
  'unacknowledged',
  'acknowledged',
  'returnedUnacknowledged',
  'shelved',
  'suppressedByDesign',
  'outOfService',
  'normal',
] as const
/** How much time a person has. Two signal classes on the board, and the rest is calm. */
export const URGENCIES = ['now', 'beforeOpening', 'today'] as const
export const urgencySchema = z.enum(URGENCIES)
export type Urgency = z.infer<typeof urgencySchema>

/** How the past changed under an alarm that people had already seen. */
export const REVISIONS = ['none', 'corrected', 'withdrawn'] as const

export const alarmSchema = z.strictObject({
  id: z.string(),
  /** What was grouped into it: one root for many symptoms. */
  rootKey: z.string(),
  condition: conditionSchema,
  subject: subjectSchema,
  episodeIds: z.array(z.string()),
  /** The episode whose reason is told: of those still open the weightiest, and after that the last that was. */
  leadEpisodeId: z.string(),
  state: z.enum(ALARM_STATES),
  urgency: urgencySchema,
  title: z.string(),
  cause: z.string(),
  consequence: z.string(),
  action: z.string(),
  timeToAct: z.string(),
  openedMs: z.int(),
  returnedMs: z.int().nullable(),
  acknowledged: actSchema.nullable(),
  revision: z.enum(REVISIONS),
})
export type Alarm = z.infer<typeof alarmSchema>
