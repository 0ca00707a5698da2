import { z } from 'zod'
import { actSchema } from './act.ts'
import { urgencySchema } from './alarm.ts'
import { subjectSchema } from './subject.ts'

/** `signedOff` by a person; `overByItself` when the world was well again first; `withdrawn` when its reason proved never to have been. */
export const TASK_STATES = ['open', 'signedOff', 'overByItself', 'withdrawn'] as const

export const taskSchema = z.strictObject({
  id: z.string(),
  alarmId: z.string(),
  subject: subjectSchema,
  title: z.string(),
  why: z.string(),
  steps: z.array(z.string()),
  cautions: z.array(z.string()),
  supplies: z.array(z.string()),
  urgency: urgencySchema,
  state: z.enum(TASK_STATES),
  openedMs: z.int(),
  closedMs: z.int().nullable(),
  signedOff: actSchema.extend({ note: z.string() }).nullable(),
})
export type Task = z.infer<typeof taskSchema>
