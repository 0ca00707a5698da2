import { z } from 'zod'
import { actSchema, CARES, QUIET_KINDS } from './act.ts'
import { learnedKey, learnedSchema } from './learned.ts'
import { nameSchema } from './name.ts'
import { quantitySchema } from './quantity.ts'
import { settingsSchema } from './settings.ts'
import { sensorIdSchema, subjectSchema } from './subject.ts'
import { disposalFields } from './disposal.ts'
import {
  careFields,
  headChangeFields,
  logIdSchema,
  MOST_ENTRIES,
  nozzleCheckFields,
  saidEntrySchema,
} from './log-entry.ts'
import { SYMPTOMS } from './symptom.ts'

/** One measured value. `atMs` is when it was measured (event time, UTC ms since 1970). */
export const readingSchema = z.strictObject({
  sensorId: sensorIdSchema,
  quantity: quantitySchema,
  atMs: z.int(),
  value: z.number(),
})
export type Reading = z.infer<typeof readingSchema>

/** What a node says of a pack: its number within a boot, so that a lost pack shows as a gap. */
export const packMarkSchema = z.strictObject({
  bootId: z.string().min(1).max(64),
  packSequence: z.int().min(1),
  droppedPacks: z.int().nonnegative().default(0),
})
export type PackMark = z.infer<typeof packMarkSchema>

/**
 * Everything that can change what the kernel thinks. `atMs` is event time, `receivedMs` the monitor's clock at
 * arrival; for all but readings the two are equal. The log of inputs, in order of `seq`, is the whole truth:
 * the same log gives the same effects.
 */
const stamp = { atMs: z.int(), receivedMs: z.int() }
export const inputBodySchema = z.discriminatedUnion('type', [
  z.strictObject({
    type: z.literal('readings'),
    ...stamp,
    /** The node or foreign device that sent them. */
    nodeId: nameSchema,
    pack: packMarkSchema.optional(),
    /** Brought from a file: nobody was heard by it. */
    imported: z.literal(true).optional(),
    readings: z.array(readingSchema),
  }),
  z.strictObject({ type: z.literal('nodeStatus'), ...stamp, nodeId: nameSchema, online: z.boolean() }),
  /** Readings of a node were refused because they were stamped ahead of the monitor's clock. */
  z.strictObject({
    type: z.literal('readingsAhead'),
    ...stamp,
    nodeId: nameSchema,
    count: z.int().positive(),
    /** How far the newest of them lay in the future. */
    aheadMs: z.int().nonnegative(),
  }),
  z.strictObject({
    type: z.literal('settings'),
    ...stamp,
    act: actSchema,
    settings: settingsSchema,
    /** Why they were changed, in the words of whoever did, or the evidence they rest on. */
    why: z.string().trim().max(2000).optional(),
  }),
  /** The monitor's clock has passed a deadline that the kernel asked for. */
  z.strictObject({ type: z.literal('deadline'), ...stamp }),
  /** The monitor was not running from `fromMs` to `atMs`. */
  z.strictObject({ type: z.literal('monitorDark'), ...stamp, fromMs: z.int() }),
  z.strictObject({ type: z.literal('alarmAcknowledged'), ...stamp, act: actSchema, alarmId: z.string() }),
  /** Set aside until `untilMs`, at most `LONGEST_SHELF_MS` from then on. */
  z.strictObject({
    type: z.literal('alarmShelved'),
    ...stamp,
    act: actSchema,
    alarmId: z.string(),
    untilMs: z.int(),
    reason: z.string().trim().min(1).max(300),
  }),
  z.strictObject({ type: z.literal('alarmUnshelved'), ...stamp, act: actSchema, alarmId: z.string() }),
  /** By a link or a button on a locked screen: remind this contact again only at `untilMs`. */
  z.strictObject({
    type: z.literal('alarmSnoozed'),
    ...stamp,
    act: actSchema,
    alarmId: z.string(),
    contactId: nameSchema,
    untilMs: z.int(),
  }),
  /** A reply of this contact found its way home from outside: from now on silence means something. */
  z.strictObject({ type: z.literal('replyPathProven'), ...stamp, contactId: nameSchema }),
  /** Somebody wants to see how this contact is told. */
  z.strictObject({ type: z.literal('noticeTestAsked'), ...stamp, act: actSchema, contactId: nameSchema }),
  z.strictObject({
    type: z.literal('taskSignedOff'),
    ...stamp,
    act: actSchema,
    taskId: z.string(),
    note: z.string().max(500).default(''),
  }),
  /** Who shall do it; null for nobody in particular. */
  z.strictObject({
    type: z.literal('taskAssigned'),
    ...stamp,
    act: actSchema,
    taskId: z.string(),
    assigneeId: z.string().min(1).max(64).nullable(),
  }),
  /** Put off, with a reason. `untilMs` null: take it up again now. */
  z.strictObject({
    type: z.literal('taskDeferred'),
    ...stamp,
    act: actSchema,
    taskId: z.string(),
    untilMs: z.int().nullable(),
    reason: z.string().max(300),
  }),
  z.strictObject({
    type: z.literal('routineStarted'),
    ...stamp,
    act: actSchema,
    routineId: nameSchema,
    subject: subjectSchema,
  }),
  z.strictObject({
    type: z.literal('symptomReported'),
    ...stamp,
    act: actSchema,
    symptom: z.enum(SYMPTOMS),
    machineId: nameSchema,
    note: z.string().max(500).default(''),
  }),
  z.strictObject({ type: z.literal('disposalLogged'), ...stamp, act: actSchema, ...disposalFields }),
  z.strictObject({
    type: z.literal('nozzleCheckLogged'),
    ...stamp,
    act: actSchema,
    machineId: nameSchema,
    reason: nozzleCheckFields.reason,
    missing: nozzleCheckFields.missing,
    /** An earlier release gave neither: then the check is called by its input's seq, and was made when it was said. */
    checkId: logIdSchema.optional(),
    checkedMs: nozzleCheckFields.checkedMs.optional(),
    note: z.string().max(500).optional(),
  }),
  /** A new head: its ink is fresh if this is said as it is done. */
  z.strictObject({
    type: z.literal('headChanged'),
    ...stamp,
    act: actSchema,
    changeId: logIdSchema,
    ...headChangeFields,
  }),
  /** Entries of the logbook that change nothing but it: of the past, corrected, voided, or brought from a file. */
  z.strictObject({
    type: z.literal('logEntriesNoted'),
    ...stamp,
    act: actSchema,
    entries: z.array(saidEntrySchema).min(1).max(MOST_ENTRIES),
  }),
  /**
   * What was computed from history, outside. `waiting`: it moved far from what holds and is not used until a person
   * accepts it; the acceptance is the same value again, no longer waiting, with that person's act.
   */
  z.strictObject({
    type: z.literal('learned'),
    ...stamp,
    learned: learnedSchema,
    waiting: z.boolean(),
    act: actSchema.nullable(),
  }),
  /** A person wetted the ink. No channel groups named: all of the machine. */
  z.strictObject({
    type: z.literal('careLogged'),
    ...stamp,
    act: actSchema,
    machineId: nameSchema,
    care: z.enum(CARES),
    channelGroupIds: z.array(nameSchema).max(200).default([]),
    /** Of the logbook; not given by an earlier release. */
    careId: logIdSchema.optional(),
    helpedSaid: careFields.helpedSaid.optional(),
    note: z.string().max(500).optional(),
  }),
  z.strictObject({
    type: z.literal('capSaid'),
    ...stamp,
    act: actSchema,
    machineId: nameSchema,
    capped: z.boolean(),
  }),
  z.strictObject({
    type: z.literal('servicingSaid'),
    ...stamp,
    act: actSchema,
    machineId: nameSchema,
    servicing: z.boolean(),
  }),
  z.strictObject({
    type: z.literal('errorStopSaid'),
    ...stamp,
    act: actSchema,
    machineId: nameSchema,
    stopped: z.boolean(),
  }),
  z.strictObject({ type: z.literal('closingBegun'), ...stamp, act: actSchema }),
  /** A person did a step of the closing list, or looked at what no sensor sees; `done` false takes it back. */
  z.strictObject({
    type: z.literal('closingStepTicked'),
    ...stamp,
    act: actSchema,
    stepId: nameSchema,
    /** The machine, or null for a step of the whole shop. */
    machineId: nameSchema.nullable(),
    done: z.boolean(),
  }),
  /** The list was gone through, ready or not. */
  z.strictObject({ type: z.literal('closingFinished'), ...stamp, act: actSchema }),
  /** For this time nobody is told of what the plan explains. `toMs` null: until somebody ends it. */
  z.strictObject({
    type: z.literal('quietPlanned'),
    ...stamp,
    act: actSchema,
    quietId: z.string().min(1).max(64),
    kind: z.enum(QUIET_KINDS),
    /** The machine, or null for the whole shop. */
    machineId: nameSchema.nullable(),
    fromMs: z.int(),
    toMs: z.int().nullable(),
    note: z.string().max(500).default(''),
  }),
  z.strictObject({
    type: z.literal('quietEnded'),
    ...stamp,
    act: actSchema,
    quietId: z.string().min(1).max(64),
  }),
])
export type InputBody = z.infer<typeof inputBodySchema>
export type Input = InputBody & { readonly seq: number }
export type InputOf<T extends InputBody['type']> = Extract<Input, { type: T }>

/** What a person said or did at a machine. */
export const ACT_ORDER_TYPES = [
  'careLogged',
  'headChanged',
  'capSaid',
  'servicingSaid',
  'errorStopSaid',
] as const
export type ActOrder = InputOf<(typeof ACT_ORDER_TYPES)[number]>
/** What changes how subjects are judged, beside readings; each at its own time. */
export type Order = InputOf<'settings' | 'learned'> | ActOrder

/**
 * Which orders replace each other: of one key the newest holds. `act` for what a person said, where each counts by
 * itself; null for an input that is no order, as is a learned value that waits.
 */
export function orderKeyOf(input: InputBody): string | null {
  if (input.type === 'settings') return 'settings'
  if (input.type === 'learned') return input.waiting ? null : learnedKey(input.learned)
  return (ACT_ORDER_TYPES as readonly string[]).includes(input.type) ? 'act' : null
}
