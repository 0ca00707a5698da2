import { z } from 'zod'
import { conditionSchema } from './episode.ts'

/**
 * How closely the past is read: every reading that is still held, or of each minute its last reading. Where readings are
 * held no longer, minutes are read in either case.
 */
export const RERUN_GRAINS = ['readings', 'minutes'] as const
export type RerunGrain = (typeof RERUN_GRAINS)[number]

/** One limit that may be tried, as `{field of settings.limits}.{field within}`; the value in the unit of the settings. */
export const limitChangeSchema = z.strictObject({
  limit: z.string().min(1).max(60),
  value: z.number({ error: 'give the value to try as a number' }),
})
export type LimitChange = z.infer<typeof limitChangeSchema>

/** What is asked of a re-run. Times are of the monitor's clock; `toMs` is not part of the period. */
export const rerunOrderSchema = z.strictObject({
  ...limitChangeSchema.shape,
  fromMs: z.int(),
  toMs: z.int(),
  grain: z.enum(RERUN_GRAINS).default('readings'),
})
export type RerunOrder = z.infer<typeof rerunOrderSchema>

const countsSchema = z.array(z.object({ condition: conditionSchema, count: z.int().positive() }))

/** A clog: nozzles missing at a check after a clear one (rules CLOG-1 to CLOG-8), and what had been said before it. */
export const rerunClogSchema = z.object({
  machineId: z.string(),
  channelGroupId: z.string(),
  /** When the check was made that found it. */
  checkedMs: z.int(),
  /** When the first of the conditions that the limit decides was sure, since the check before; null: none was. */
  warnedMs: z.int().nullable(),
  warnedBy: conditionSchema.nullable(),
  /** The same for any condition about dryness, air or power. */
  anyWarnedMs: z.int().nullable(),
})
export type RerunClog = z.infer<typeof rerunClogSchema>

/** What would have happened under one value of the limit. */
export const rerunOutcomeSchema = z.object({
  value: z.number(),
  /** How often an alarm arose, by the condition that it led with; the commonest first. */
  alarms: countsSchema,
  /** Nights on which somebody was called while the shop was closed, and what the next nozzle checks say of them. */
  nightsWoken: z.int(),
  wokenBeforeClog: z.int(),
  wokenForNothing: z.int(),
  wokenUnclear: z.int(),
  /** Nights on which a condition that the limit decides came up or stood. */
  nightsHeld: z.int(),
  clogs: z.array(rerunClogSchema),
  /** Median over the clogs that were warned of by what the limit decides; null without any. */
  medianLeadMs: z.number().nullable(),
  /** Readings that went through the kernel. */
  readings: z.int(),
  /** Answers of people to alarms and tasks that this past does not have. */
  actsDropped: z.int(),
})
export type RerunOutcome = z.infer<typeof rerunOutcomeSchema>

/** What may be tried, in words of the trade. Values are in the unit of the settings; shown is `value / per`, in `unit`. */
export const limitChoiceSchema = z.object({
  limit: z.string(),
  group: z.string(),
  title: z.string(),
  unit: z.string(),
  per: z.number(),
  min: z.number(),
  max: z.number(),
  todayValue: z.number(),
  /** Can a condition that it decides call somebody at night? */
  wakes: z.boolean(),
})
export type LimitChoice = z.infer<typeof limitChoiceSchema>

/** `stopped`: by a person; what had been worked out whole stays. `failed`: see `reason`. */
export const RERUN_STATES = ['running', 'done', 'stopped', 'failed'] as const

export const rerunViewSchema = z.object({
  id: z.string(),
  state: z.enum(RERUN_STATES),
  /** Why it failed, with what can be done. */
  reason: z.string().nullable(),
  choice: limitChoiceSchema,
  order: rerunOrderSchema,
  /** 0 to 1, and in words what is being done. */
  share: z.number(),
  doing: z.string(),
  startedMs: z.int(),
  /** By the pace so far; null while that cannot be said. */
  leftMs: z.number().nullable(),
  /** The first is today's value, the second the value that was tried, then the rest of the curve. */
  outcomes: z.array(rerunOutcomeSchema),
  /** Values that the curve will have when it is whole, smallest first. */
  values: z.array(z.number()),
  /** Alarms as they stand on record for the period, by condition. */
  onRecord: countsSchema,
  /** Sentences about how far this can be trusted: record begins, minutes, settings that were others. */
  remarks: z.array(z.string()),
})
export type RerunView = z.infer<typeof rerunViewSchema>
