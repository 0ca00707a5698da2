import { z } from 'zod'
import { alarmSchema } from './alarm.ts'
import { quantitySchema } from './quantity.ts'
import { sensorIdSchema } from './subject.ts'

/** What screens are shown. Numbers stay in SI units here; a screen turns them into what the owner likes. */

/** `well` is calm; `unknown` is never shown as well. */
export const STANDINGS = ['well', 'beforeOpening', 'actNow', 'unknown'] as const
export const standingSchema = z.enum(STANDINGS)

const pointSchema = z.tuple([z.int(), z.number()])
/** A run of points without a gap: a line is drawn within a run, never between two. */
const runsSchema = z.array(z.array(pointSchema))
const spanSchema = z.strictObject({ fromMs: z.int(), toMs: z.int() })
export const POWER_STATES = ['on', 'off', 'unknown'] as const
const powerSpanSchema = spanSchema.extend({ state: z.enum(POWER_STATES) })

export const bottleViewSchema = z.strictObject({
  id: z.string(),
  title: z.string(),
  /** null: not known now (no scale, or it is silent). */
  fillPct: z.number().nullable(),
  volumeMl: z.number().nullable(),
  capacityMl: z.number(),
  nearPct: z.number(),
  sharedBy: z.array(z.string()),
})

export const machineViewSchema = z.strictObject({
  id: z.string(),
  title: z.string(),
  roomTitle: z.string(),
  standing: standingSchema,
  /** The one thing to know, in plain words. */
  sentence: z.string(),
  /** What stands behind it: the second line. */
  evidence: z.string(),
  /** The one button: the task to open, or null when nothing waits. */
  action: z.strictObject({ label: z.string(), taskId: z.string() }).nullable(),
  /** The alarm behind the sentence, its state, and why it was raised. */
  alarm: alarmSchema.nullable(),
  otherAlarms: z.int(),
  humidity: z.strictObject({ limitPct: z.number(), nowPct: z.number().nullable(), runs: runsSchema }),
  power: z.strictObject({ now: z.enum(POWER_STATES), spans: z.array(powerSpanSchema) }),
  bottle: bottleViewSchema.extend({ runs: runsSchema }).nullable(),
})

export const roomViewSchema = z.strictObject({
  id: z.string(),
  title: z.string(),
  temperatureC: z.number().nullable(),
  humidityPct: z.number().nullable(),
  dewPointC: z.number().nullable(),
  vpdKpa: z.number().nullable(),
})

export const boardViewSchema = z.strictObject({
  nowMs: z.int(),
  fromMs: z.int(),
  site: z.strictObject({
    id: z.string(),
    title: z.string(),
    timeZone: z.string(),
    temperatureUnit: z.enum(['degC', 'degF']),
    volumeUnit: z.enum(['mL', 'fl oz']),
    open: z.boolean(),
    /** When that next changes, or null with no hours set. */
    nextChangeMs: z.int().nullable(),
  }),
  /** "Closed. 2 things need you before morning." */
  statement: z.string(),
  /** What a new shop should do next, most urgent first; empty when set up. */
  nextSteps: z.array(z.string()),
  closedSpans: z.array(spanSchema),
  machines: z.array(machineViewSchema),
  rooms: z.array(roomViewSchema),
  /** Alarms that belong to no machine: a silent node, for instance. */
  shopAlarms: z.array(alarmSchema),
  sensors: z.strictObject({ reporting: z.int(), assigned: z.int(), unassigned: z.int() }),
  quarantined: z.int(),
  openTasks: z.int(),
  lastReadingMs: z.int().nullable(),
  /** Something listens beyond this computer without encryption. */
  plaintextBeyondLoopback: z.boolean(),
})
export type BoardView = z.infer<typeof boardViewSchema>
export type MachineView = z.infer<typeof machineViewSchema>
export type RoomView = z.infer<typeof roomViewSchema>
export type BottleView = z.infer<typeof bottleViewSchema>

export const sensorViewSchema = z.strictObject({
  id: sensorIdSchema,
  title: z.string().nullable(),
  quantity: quantitySchema,
  unit: z.string(),
  assignedTo: z.strictObject({ kind: z.string(), id: z.string(), title: z.string() }).nullable(),
  lastValue: z.number().nullable(),
  lastAtMs: z.int().nullable(),
  silent: z.boolean(),
  readings: z.int(),
})
export const nodeViewSchema = z.strictObject({
  id: z.string(),
  title: z.string().nullable(),
  online: z.boolean().nullable(),
  lastReceivedMs: z.int().nullable(),
  missingPacks: z.int(),
  droppedPacks: z.int(),
  /** Does it have a secret, so that it can sign in to the embedded broker? */
  hasSecret: z.boolean(),
})
export const quarantineViewSchema = z.strictObject({
  topic: z.string(),
  code: z.string(),
  reason: z.string(),
  sample: z.string(),
  count: z.int(),
  firstMs: z.int(),
  lastMs: z.int(),
})
export const sensorsViewSchema = z.strictObject({
  sensors: z.array(sensorViewSchema),
  nodes: z.array(nodeViewSchema),
  quarantine: z.array(quarantineViewSchema),
  counts: z.strictObject({
    readings: z.int(),
    conflicts: z.int(),
    quarantined: z.int(),
    notJudged: z.int(),
    inputs: z.int(),
  }),
})
export type SensorsView = z.infer<typeof sensorsViewSchema>
