import { z } from 'zod'
import { conditionSchema } from './episode.ts'
import { MACHINE_DOINGS } from './quarter.ts'
import { INKS } from './settings.ts'
import { TASK_STATES } from './task.ts'

const valueSchema = z.number().nullable()
/** Lowest, mean, highest and last of each stretch; null where nothing was measured, so that a gap stays a gap. */
const bandSchema = z.strictObject({
  low: z.array(valueSchema),
  mean: z.array(valueSchema),
  high: z.array(valueSchema),
  last: z.array(valueSchema),
})
export type HistoryBand = z.infer<typeof bandSchema>

/** Starts of the stretches, one after the other without a hole, and their width. All values of a grid stand in its order. */
const gridSchema = z.strictObject({ startsMs: z.array(z.int()), widthMs: z.int().positive() })
export type HistoryGrid = z.infer<typeof gridSchema>

const inkSchema = z.strictObject({
  channelGroupId: z.string(),
  title: z.string(),
  ink: z.enum(INKS),
  limitKpaH: z.number(),
  doseKpaH: bandSchema,
})

/** On the grid of readings. */
const roomSchema = z.strictObject({
  id: z.string(),
  title: z.string(),
  /** A silence of its sensors up to this long is none: they need not speak oftener. */
  quietMs: z.int().nonnegative(),
  humidityPct: bandSchema,
  temperatureC: bandSchema,
  /** Of these two the band holds all that the air can have been between the extremes measured. */
  vpdKpa: bandSchema,
  dewPointC: bandSchema,
})
export type RoomHistory = z.infer<typeof roomSchema>

/** On the grid of readings. */
const bottleSchema = z.strictObject({
  id: z.string(),
  title: z.string(),
  quietMs: z.int().nonnegative(),
  fillPct: bandSchema,
})
export type BottleHistory = z.infer<typeof bottleSchema>

/** On the grid of quarters. */
const machineSchema = z.strictObject({
  id: z.string(),
  title: z.string(),
  inks: z.array(inkSchema),
  /** Share of each stretch in each state, 0 to 1; null where it is not known that the machine was watched. */
  shares: z.partialRecord(z.enum(MACHINE_DOINGS), z.array(valueSchema)),
  /** How many were seen or logged. */
  cleanings: z.array(valueSchema),
  uncappedS: z.array(valueSchema),
})
export type MachineHistory = z.infer<typeof machineSchema>

/** A trouble, of the machines shown that suffered from it; of none where only its room or bottle is shown. */
const troubleSchema = z.strictObject({
  machineIds: z.array(z.string()),
  condition: conditionSchema,
  title: z.string(),
  fromMs: z.int(),
  toMs: z.int().nullable(),
})

const taskSchema = z.strictObject({
  machineIds: z.array(z.string()),
  title: z.string(),
  state: z.enum(TASK_STATES),
  endedMs: z.int(),
})
export type HistoryTask = z.infer<typeof taskSchema>

/** A nozzle check, newest entry, with what was missing in all and in each channel group that was not clear. */
const checkSchema = z.strictObject({
  machineId: z.string(),
  atMs: z.int(),
  missingNozzles: z.int().nonnegative(),
  missing: z.array(z.strictObject({ title: z.string(), missingNozzles: z.int() })),
})
export type HistoryCheck = z.infer<typeof checkSchema>

/** What else people wrote down: cleanings, head changes, notes. */
const entrySchema = z.strictObject({
  machineIds: z.array(z.string()),
  kind: z.enum(['care', 'headChange', 'note']),
  title: z.string(),
  atMs: z.int(),
})
export type HistoryEntry = z.infer<typeof entrySchema>

/** Limits of today, whatever held then: what a past is looked at by. */
const limitsSchema = z.strictObject({
  airVeryDryPct: z.number(),
  airDryPct: z.number(),
  airDampPct: z.number(),
  roomColdC: z.number(),
  roomWarmC: z.number(),
  bottleNearPct: z.number(),
  bottleFullPct: z.number(),
})
export type HistoryLimits = z.infer<typeof limitsSchema>

const spanSchema = z.strictObject({ fromMs: z.int(), toMs: z.int() })
const choiceSchema = z.array(z.strictObject({ id: z.string(), title: z.string() }))

/** The past of machines, rooms and bottles over one window, in about as many stretches as a chart can show. */
export const historyViewSchema = z.strictObject({
  fromMs: z.int(),
  toMs: z.int(),
  readings: gridSchema,
  quarters: gridSchema,
  limits: limitsSchema,
  rooms: z.array(roomSchema),
  bottles: z.array(bottleSchema),
  machines: z.array(machineSchema),
  /** When the shop was closed; empty over windows in which a night is too narrow to be seen. */
  closed: z.array(spanSchema),
  troubles: z.array(troubleSchema),
  tasks: z.array(taskSchema),
  checks: z.array(checkSchema),
  entries: z.array(entrySchema),
  /** What to know of where the readings come from, in words. */
  sourceNotes: z.array(z.string()),
  /** What else could be asked for: when the record begins, the last night, and all there is to be shown. */
  beginsMs: z.int().nullable(),
  lastNight: spanSchema.nullable(),
  choices: z.strictObject({ machines: choiceSchema, rooms: choiceSchema, bottles: choiceSchema }),
})
export type HistoryView = z.infer<typeof historyViewSchema>
