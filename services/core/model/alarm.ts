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
export type AlarmState = (typeof ALARM_STATES)[number]

/** How much time a person has. Two signal classes on the board, and the rest is calm. */
export const URGENCIES = ['now', 'beforeOpening', 'today'] as const
export const urgencySchema = z.enum(URGENCIES)
export type Urgency = z.infer<typeof urgencySchema>

/** How much an alarm counts beside others: severity of its consequence by the time to act (`alarms/priority.ts`). */
export const PRIORITIES = ['high', 'medium', 'low'] as const
export const prioritySchema = z.enum(PRIORITIES)
export type Priority = z.infer<typeof prioritySchema>

/** Nobody sets an alarm aside for longer than this at once. */
export const LONGEST_SHELF_MS = 7 * 24 * 3_600_000

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
  priority: prioritySchema,
  title: z.string(),
  cause: z.string(),
  consequence: z.string(),
  action: z.string(),
  timeToAct: z.string(),
  /** When it last arose: sure to hold. */
  openedMs: z.int(),
  /** When its condition was last over; null while it holds. */
  returnedMs: z.int().nullable(),
  /** How often it arose: an alarm that comes back soon is the same alarm. */
  activations: z.int().positive(),
  acknowledged: actSchema.nullable(),
  /** Set aside by a person, until when and why; `condition` is the trouble that they set aside. */
  shelved: z
    .strictObject({ act: actSchema, untilMs: z.int(), reason: z.string(), condition: conditionSchema })
    .nullable(),
  /** The planned quiet that covers it: until when (null: until somebody ends it), and the planner's note. */
  quiet: z.strictObject({ quietId: z.string(), untilMs: z.int().nullable(), note: z.string() }).nullable(),
  revision: z.enum(REVISIONS),
})
export type Alarm = z.infer<typeof alarmSchema>
