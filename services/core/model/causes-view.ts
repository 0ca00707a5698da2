import { z } from 'zod'
import { EXPOSURES } from './night-exposure.ts'
import { VERDICT_KINDS } from './verdict.ts'

const exposureSchema = z.enum(EXPOSURES)

/** Clogs among nights, and where the share of clogs lies with 95 %. */
export const sharedSchema = z.strictObject({
  clogs: z.int(),
  nights: z.int(),
  low: z.number(),
  high: z.number(),
})
/** An odds ratio. `high` null: no upper end. `ratio` null: it has none, or is without end (`isEndless`). */
export const oddsSchema = z.strictObject({
  ratio: z.number().nullable(),
  isEndless: z.boolean(),
  low: z.number(),
  high: z.number().nullable(),
  p: z.number(),
})
/** What odds are multiplied by for each `step` of the exposure. */
export const slopeSchema = oddsSchema.extend({ step: z.number() })

const verdictSchema = z.strictObject({
  exposure: exposureSchema,
  kind: z.enum(VERDICT_KINDS),
  direction: z.union([z.literal(1), z.literal(0), z.literal(-1)]),
  text: z.string(),
})

const twoByTwoSchema = z.strictObject({
  limit: z.number(),
  /** `settings`: the owner's limit. `starting`: ours, not in the settings. */
  origin: z.enum(['settings', 'starting']),
  beyond: sharedSchema,
  within: sharedSchema,
  /** Each channel group compared within itself. */
  pooled: oddsSchema,
  /** All in one table, exactly; and the same p with half of what was seen (mid-p). */
  fisher: oddsSchema,
  midP: z.number(),
})

const traceSchema = z.strictObject({
  name: z.string(),
  nightOf: z.iso.date(),
  /** Three nights before, two, one, and its own. */
  values: z.array(z.number().nullable()),
  matched: z.array(z.number().nullable()),
  matchedNights: z.int(),
})

export const causeRowSchema = z.strictObject({
  exposure: exposureSchema,
  nights: z.int(),
  clogs: z.int(),
  /** Checked nights on which this exposure was not known. */
  unknownNights: z.int(),
  verdict: verdictSchema,
  table: twoByTwoSchema.nullable(),
  curve: z.array(z.strictObject({ value: z.number(), share: z.number(), low: z.number(), high: z.number() })),
  slope: slopeSchema.nullable(),
  /** Each clog against other nights of its own month. */
  withinMonth: slopeSchema.extend({ strata: z.int() }).nullable(),
  /** Values of clog nights; and of the other checked nights, at most 300, evenly from the lowest to the highest. */
  clogNights: z.array(z.number()),
  otherNights: z.array(z.number()),
  /** Under ten clogs each by itself, else the average alone. */
  traces: z.array(traceSchema),
  average: z.array(z.strictObject({ difference: z.number(), low: z.number(), high: z.number() })).nullable(),
})

export const PAGE_TESTS = [
  'weeks',
  'weeksAtLimit',
  'fisher',
  'pooled',
  'dose',
  'crossover',
  'before',
] as const

const pageTestSchema = z.strictObject({
  exposure: exposureSchema,
  test: z.enum(PAGE_TESTS),
  decides: z.boolean(),
  p: z.number(),
  correctedP: z.number(),
})

/** Limits that Causes can propose: each is one in the settings. */
export const PROPOSED_LIMITS = ['airDryPct', 'roomColdC', 'doseColourKpaH', 'doseWhiteKpaH'] as const
export type ProposedLimit = (typeof PROPOSED_LIMITS)[number]

const proposalSchema = z.strictObject({
  of: z.enum(PROPOSED_LIMITS),
  now: z.number(),
  /** Null where none is proposed. */
  better: z
    .strictObject({
      limit: z.number(),
      limitsTried: z.int(),
      /** On the months it was chosen from; it pays for every limit that was tried. */
      chosenP: z.number(),
      /** On the other months, by exchanging weeks, corrected over all limits that are judged on this page. */
      judgedP: z.number().nullable(),
      /** Whether the other months bear it out. */
      isBorneOut: z.boolean(),
      clogsCaught: z.int(),
      clogsMissed: z.int(),
      falseAlarms: z.int(),
      alarmsAMonth: z.number(),
      /** The same months under the limit that holds now. */
      today: z.strictObject({
        clogsCaught: z.int(),
        clogsMissed: z.int(),
        falseAlarms: z.int(),
        alarmsAMonth: z.number(),
      }),
    })
    .nullable(),
  text: z.string(),
})

const frozenSchema = z.strictObject({
  month: z.string(),
  frozenMs: z.int(),
  modelVersion: z.string(),
  verdict: verdictSchema,
  confirmation: z
    .strictObject({
      state: z.enum(['waiting', 'confirmed', 'notConfirmed']),
      clogs: z.int(),
      nights: z.int(),
      p: z.number().nullable(),
      text: z.string(),
    })
    .nullable(),
})

/** Which nights are asked about: dates of the shop, both included; null for no end, and for every machine. */
export const causesQuestionSchema = z.strictObject({
  from: z.iso.date().nullable(),
  to: z.iso.date().nullable(),
  machineId: z.string().nullable(),
})
export type CausesQuestion = z.infer<typeof causesQuestionSchema>

/** All of the page Causes. */
export const causesViewSchema = z.strictObject({
  computedMs: z.int(),
  question: causesQuestionSchema,
  modelVersion: z.string(),
  /** The first and the last night that are looked at; null of none. */
  nights: z.strictObject({ first: z.iso.date(), last: z.iso.date() }).nullable(),
  /** The whole page in a sentence or two, never stronger than the numbers. */
  headline: z.string(),
  counts: z.strictObject({
    channelGroups: z.int(),
    /** Nights of channel groups, and of those the ones that count. */
    nights: z.int(),
    counted: z.int(),
    clogs: z.int(),
    unchecked: z.int(),
    checks: z.int(),
    onSuspicion: z.int(),
    /** Checks that are no outcome of a night, and why. */
    checksLeftOut: z.strictObject({
      tellsOnlyState: z.int(),
      laterOfTheDay: z.int(),
      nothingBefore: z.int(),
      clogBefore: z.int(),
      tooLongUnchecked: z.int(),
    }),
    actedUpon: z.strictObject({ nights: z.int(), checked: z.int(), clogs: z.int() }),
  }),
  /** How often weeks were exchanged, and from which seed: the same nights give the same page. */
  resampling: z.strictObject({ draws: z.int(), seed: z.int() }),
  rows: z.array(causeRowSchema),
  tests: z.array(pageTestSchema),
  proposals: z.array(proposalSchema),
  frozen: z.array(frozenSchema),
})
export type CausesView = z.infer<typeof causesViewSchema>
export type CauseRowView = z.infer<typeof causeRowSchema>
export type OddsView = z.infer<typeof oddsSchema>

/** What is kept of a question, and what is being done about it. */
export const causesStatusSchema = z.strictObject({
  page: causesViewSchema.nullable(),
  /** Nothing that it rests on has changed since, as far as is known. */
  isCurrent: z.boolean(),
  /** Under way for this question. */
  work: z.strictObject({ share: z.number(), doing: z.string() }).nullable(),
  /** Why the last try came to nothing, with the cure. */
  problem: z.string().nullable(),
})
export type CausesStatus = z.infer<typeof causesStatusSchema>
