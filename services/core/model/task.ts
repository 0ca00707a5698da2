import { z } from 'zod'
import { actSchema } from './act.ts'
import { urgencySchema } from './alarm.ts'
import { subjectSchema } from './subject.ts'

/**
 * `signedOff` by a person; `overByItself` when the world was well again first; `withdrawn` when its reason proved never
 * to have been, or its routine was taken away; `missed` when a routine's next turn came and nobody had done it.
 */
export const TASK_STATES = ['open', 'signedOff', 'overByItself', 'withdrawn', 'missed'] as const

/** What first asked for it: an alarm, a routine (by its time, its count or by hand), or what somebody saw. */
export const TASK_ORIGINS = ['alarm', 'routine', 'symptom'] as const

/** `notSeen`: no sensor can tell, or it cannot tell yet. That is neither proof nor its opposite. */
export const PROOF_VERDICTS = ['proven', 'contradicted', 'notSeen'] as const
export const proofSchema = z.strictObject({
  text: z.string(),
  atMs: z.int(),
  verdict: z.enum(PROOF_VERDICTS),
})
/** What sensors say of whether the work was done. */
export type Proof = z.infer<typeof proofSchema>

/** Fields with a default came later than the first release: tasks kept from before it do not have them. */
export const taskSchema = z.strictObject({
  id: z.string(),
  origin: z.enum(TASK_ORIGINS).default('alarm'),
  /** The alarm that asks for it; null where none does, or none does any more. */
  alarmId: z.string().nullable(),
  /** Further alarms that ask for the same work. */
  joinedAlarmIds: z.array(z.string()).default([]),
  /** The routine that asks for it, whether first or as well. */
  routineId: z.string().nullable().default(null),
  /** The same work on the same subject is never asked for twice at once: `{work}|{key of the machine, bottle, ...}`. */
  workKey: z.string().default(''),
  subject: subjectSchema,
  title: z.string(),
  why: z.string(),
  /** Why else it was asked for, when reasons met in one task. */
  otherReasons: z.array(z.string()).default([]),
  steps: z.array(z.string()),
  cautions: z.array(z.string()),
  tools: z.array(z.string()).default([]),
  supplies: z.array(z.string()),
  urgency: urgencySchema,
  /** When it is due; null for what an alarm asks for, whose urgency tells. */
  dueMs: z.int().nullable().default(null),
  state: z.enum(TASK_STATES),
  openedMs: z.int(),
  closedMs: z.int().nullable(),
  /** The person who shall do it; only an id, as in every act. */
  assigneeId: z.string().nullable().default(null),
  /** Put off until then, and why; it stays open. */
  deferred: z.strictObject({ untilMs: z.int(), reason: z.string(), act: actSchema }).nullable().default(null),
  signedOff: actSchema.extend({ note: z.string() }).nullable(),
  proof: z.array(proofSchema).default([]),
  /** How often in a row it was asked for before and not done. */
  repeats: z.int().nonnegative().default(0),
})
export type Task = z.infer<typeof taskSchema>

/** Does this alarm ask for the task, alone or among others? */
export function isTaskOf({ alarmId, joinedAlarmIds }: Task, id: string): boolean {
  return alarmId === id || joinedAlarmIds.includes(id)
}
