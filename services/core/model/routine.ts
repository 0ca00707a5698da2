import { z } from 'zod'
import { nameSchema } from './name.ts'
import { problemOfRule } from './recurrence.ts'

/** What a routine is done for: each of these, one task each. */
export const ROUTINE_FOR = ['machine', 'bottle', 'room', 'shop'] as const

const lineSchema = z.string().trim().min(1, { error: 'leave out empty lines' }).max(400)
const linesSchema = z.array(lineSchema).max(30).default([])

const ruleSchema = z
  .string()
  .trim()
  .max(200)
  .superRefine((rule, context) => {
    const problem = problemOfRule(rule)
    if (problem !== null) context.addIssue({ code: 'custom', message: problem })
  })

const triggerSchema = z.discriminatedUnion('kind', [
  /** On days that a recurrence rule of RFC 5545 names, at a time of day on the shop's clock. */
  z.strictObject({
    kind: z.literal('calendar'),
    rule: ruleSchema,
    time: z
      .string()
      .regex(/^([01]\d|2[0-3]):[0-5]\d$/, { error: 'write a time of day as HH:MM, such as 09:00' })
      .default('09:00'),
    /** The first day that can be one, and the day from which intervals are counted. 5 January 2026 is a Monday. */
    startsOn: z.iso.date({ error: 'write a date as YYYY-MM-DD' }).default('2026-01-05'),
  }),
  /** After so many hours of printing, as the machine's meter tells. */
  z.strictObject({ kind: z.literal('printHours'), hours: z.number().positive().max(100_000) }),
  /** After so many cleanings that the machine's meter saw. */
  z.strictObject({ kind: z.literal('cleanings'), count: z.int().positive().max(100_000) }),
  /** Only when somebody starts it. */
  z.strictObject({ kind: z.literal('asNeeded') }),
])
export type RoutineTrigger = z.infer<typeof triggerSchema>

export const routineSchema = z
  .strictObject({
    id: nameSchema,
    title: z.string().trim().min(1, { error: 'give a title of 1 to 80 characters' }).max(80),
    why: z.string().trim().max(600).default(''),
    steps: linesSchema,
    cautions: linesSchema,
    tools: linesSchema,
    supplies: linesSchema,
    forEach: z.enum(ROUTINE_FOR),
    trigger: triggerSchema,
    /** Asked for at all. Switched off, a ready-made routine is gone until it is switched on again. */
    on: z.boolean().default(true),
  })
  .refine(({ forEach, trigger }) => forEach === 'machine' || !isCounted(trigger), {
    path: ['trigger', 'kind'],
    error: 'printing hours and cleanings are counted of machines: choose "machine", or another trigger',
  })
/** Work that comes again and again, or that is kept ready for when it is needed. */
export type Routine = z.infer<typeof routineSchema>

export function isCounted({ kind }: RoutineTrigger): boolean {
  return kind === 'printHours' || kind === 'cleanings'
}
