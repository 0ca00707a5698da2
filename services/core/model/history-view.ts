import { z } from 'zod'
import { conditionSchema } from './episode.ts'
import { MACHINE_DOINGS } from './quarter.ts'
import { INKS } from './settings.ts'

const valueSchema = z.number().nullable()
/** Lowest, mean and highest of each stretch; null where nothing was measured, so that a gap stays a gap. */
const bandSchema = z.strictObject({
  low: z.array(valueSchema),
  mean: z.array(valueSchema),
  high: z.array(valueSchema),
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

const machineSchema = z.strictObject({
  id: z.string(),
  title: z.string(),
  /** On the grid of readings. */
  humidityPct: bandSchema,
  temperatureC: bandSchema,
  /** Of these two the band holds all that the air can have been between the extremes measured. */
  vpdKpa: bandSchema,
  dewPointC: bandSchema,
  bottlePct: bandSchema.nullable(),
  /** On the grid of quarters. */
  inks: z.array(inkSchema),
  /** Share of each stretch in each state, 0 to 1; null where it is not known that the machine was watched. */
  shares: z.partialRecord(z.enum(MACHINE_DOINGS), z.array(valueSchema)),
  cleanings: z.array(valueSchema),
  uncappedS: z.array(valueSchema),
})
export type MachineHistory = z.infer<typeof machineSchema>

const spanSchema = z.strictObject({
  machineIds: z.array(z.string()),
  condition: conditionSchema,
  title: z.string(),
  fromMs: z.int(),
  toMs: z.int().nullable(),
})

/** The past of some machines over one window, in about as many stretches as a chart can show. */
export const historyViewSchema = z.strictObject({
  fromMs: z.int(),
  toMs: z.int(),
  readings: gridSchema,
  quarters: gridSchema,
  machines: z.array(machineSchema),
  troubles: z.array(spanSchema),
})
export type HistoryView = z.infer<typeof historyViewSchema>
