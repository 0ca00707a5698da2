import { z } from 'zod'
import { actSchema } from './act.ts'
import { READY_MADE_CLOSING_STEPS } from './closing-list.ts'
import { nameSchema } from './name.ts'

/** What a sensor may confirm of a step; `none`: only a person can. */
export const CONFIRMERS = [
  'none',
  'headCapped',
  'powerOn',
  'cleaningSeen',
  'bottlePresent',
  'bottleCanTakeTheNight',
  'roomInRange',
] as const
export type Confirmer = (typeof CONFIRMERS)[number]

/** Drawings of our own, of a machine that is nobody's. */
export const PICTURES = [
  'swabWiper',
  'swabCap',
  'swabHead',
  'home',
  'encoder',
  'pinchRoller',
  'rail',
  'tube',
] as const
export type Picture = (typeof PICTURES)[number]

export const closingStepSchema = z.strictObject({
  id: nameSchema,
  text: z.string().trim().min(1, { error: 'say in a few words what is to be done' }).max(200),
  /** Done at each machine, or once for the shop. */
  of: z.enum(['machine', 'shop']),
  picture: z.enum(PICTURES).nullable().default(null),
  cautions: z.array(z.string().trim().min(1).max(300)).max(10).default([]),
  confirmedBy: z.enum(CONFIRMERS).default('none'),
  /** Without it the shop is not ready for the night. */
  required: z.boolean().default(true),
  /** Asked for at all. */
  on: z.boolean().default(true),
})
export type ClosingStep = z.infer<typeof closingStepSchema>

/** The steps in the order in which they are gone through. */
export const closingStepsSchema = z
  .array(closingStepSchema)
  .max(60)
  .superRefine((steps, context) => {
    steps.forEach(({ id }, at) => {
      if (steps.findIndex((s) => s.id === id) !== at)
        context.addIssue({
          code: 'custom',
          path: [at, 'id'],
          message: `${id} stands twice: give each step its own id`,
        })
    })
  })
  .prefault(READY_MADE_CLOSING_STEPS as z.input<typeof closingStepSchema>[])

/** Where a step stands. `refuted`: a sensor says that it is not so, and no tap changes that. */
export const STEP_STATES = ['confirmed', 'ticked', 'open', 'unknown', 'refuted'] as const

const doneSchema = z.strictObject({ actorId: z.string(), atMs: z.int() })
export const closingStepViewSchema = closingStepSchema
  .pick({
    id: true,
    text: true,
    picture: true,
    cautions: true,
    required: true,
  })
  .extend({
    state: z.enum(STEP_STATES),
    /** What a sensor says, with number and time, or why it cannot say. Empty where only a person can. */
    evidence: z.string(),
    ticked: doneSchema.nullable(),
    /** May a person tap it, or take the tap back? */
    mayTap: z.boolean(),
  })
export type ClosingStepView = z.infer<typeof closingStepViewSchema>

/** Something that stands between the shop and its night, and what to do about it. */
export const notReadySchema = z.strictObject({ what: z.string(), action: z.string() })
export type NotReady = z.infer<typeof notReadySchema>

export const closingViewSchema = z.strictObject({
  nowMs: z.int(),
  /** Since when the shop's day runs: the last opening after a night. */
  dayMs: z.int(),
  timeZone: z.string(),
  verdict: z.strictObject({ ready: z.boolean(), sentence: z.string(), notReady: z.array(notReadySchema) }),
  /** Required steps that are settled, of all. */
  settled: z.int(),
  required: z.int(),
  groups: z.array(
    z.strictObject({
      /** null: the shop as a whole. */
      machineId: z.string().nullable(),
      title: z.string(),
      outOfService: z.boolean(),
      servicedUntilMs: z.int().nullable(),
      steps: z.array(closingStepViewSchema),
    }),
  ),
  /** The coming night in sentences, and the water to add. */
  forecast: z.array(z.string()),
  begun: doneSchema.nullable(),
  finished: doneSchema.extend({ ready: z.boolean(), notReady: z.array(notReadySchema) }).nullable(),
})
export type ClosingView = z.infer<typeof closingViewSchema>

/** What is remembered of a shop's day. Plain data; survives JSON. */
export const closingStateSchema = z.strictObject({
  dayMs: z.int().nullable(),
  begun: actSchema.nullable(),
  /** By `tickKey`. */
  ticks: z.record(z.string(), actSchema),
  finished: z
    .strictObject({ act: actSchema, ready: z.boolean(), notReady: z.array(notReadySchema) })
    .nullable(),
  /** When somebody last went through the list to its end, ready or not. */
  doneMs: z.int().nullable(),
})
export type ClosingState = z.infer<typeof closingStateSchema>

export function initialClosing(): ClosingState {
  return { dayMs: null, begun: null, ticks: {}, finished: null, doneMs: null }
}

export function tickKey(stepId: string, machineId: string | null): string {
  return machineId === null ? stepId : `${stepId}|${machineId}`
}
