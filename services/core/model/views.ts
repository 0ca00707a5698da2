import { z } from 'zod'
import { alarmSchema } from './alarm.ts'
import { QUIET_KINDS } from './act.ts'
import { quantitySchema } from './quantity.ts'
import { INKS } from './settings.ts'
import { sensorIdSchema } from './subject.ts'

/** What screens are shown. Numbers stay in SI units here; a screen turns them into what the owner likes. */

/** `well` is calm; `unknown` is never shown as well, nor is what a person or a plan set aside. */
export const STANDINGS = ['well', 'beforeOpening', 'actNow', 'unknown', 'setAside'] as const
export const standingSchema = z.enum(STANDINGS)

const pointSchema = z.tuple([z.int(), z.number()])
/** A run of points without a gap: a line is drawn within a run, never between two. */
const runsSchema = z.array(z.array(pointSchema))
const spanSchema = z.strictObject({ fromMs: z.int(), toMs: z.int() })
/** `on` is all that a contact can tell; a meter with bands tells the rest. */
export const POWER_STATES = ['off', 'on', 'standby', 'cleaning', 'printing', 'unknown'] as const
const powerSpanSchema = spanSchema.extend({ state: z.enum(POWER_STATES) })

/** A time on the forecast's grid and the values below which 10, 50 and 90 % of the replayed nights stay. */
const bandPointSchema = z.tuple([z.int(), z.number(), z.number(), z.number()])
const bandSchema = z.array(bandPointSchema)
/** When something yet to come will happen, earliest to latest (10, 50 and 90 %); null: not within the forecast. */
const aheadTimeSchema = z.strictObject({
  earliestMs: z.int().nullable(),
  likelyMs: z.int().nullable(),
  latestMs: z.int().nullable(),
})
/** `paths`: replayed nights of this room; `persistence`: too few days yet, so as now, and it wakes nobody. */
export const FORECAST_BASES = ['paths', 'persistence'] as const

/** The coming closed hours, or while the shop is open, the hours until and through them. */
export const nightViewSchema = z.strictObject({
  madeMs: z.int(),
  fromMs: z.int(),
  toMs: z.int(),
  basis: z.enum(FORECAST_BASES),
  /** How many past days stand behind it. */
  days: z.int(),
  humidityPct: bandSchema,
})

/** How it is known when the ink was last wetted. `assumed`: the told interval while power is on; it wakes nobody. */
export const FRESHNESS_BASES = ['seen', 'logged', 'assumed', 'unknown'] as const
export const inkViewSchema = z.strictObject({
  channelGroupId: z.string(),
  headTitle: z.string(),
  title: z.string(),
  ink: z.enum(INKS),
  /** Drying dose since last wetted, and its limit; 100 % is the limit and more is possible. */
  doseKpaH: z.number(),
  limitKpaH: z.number(),
  usedPct: z.number(),
  basis: z.enum(FRESHNESS_BASES),
  lastWettedMs: z.int().nullable(),
  /** "Fresh", "Drying", with since when and why, for reading aloud. */
  words: z.string(),
  /** The past in percent of the limit. */
  runs: runsSchema,
  /** The hours ahead in percent of the limit. */
  ahead: bandSchema,
  passesLimit: aheadTimeSchema.nullable(),
  /** Probability of passing the limit before the next opening, 0 to 1; null when it is not known. */
  probabilityBeforeOpening: z.number().nullable(),
})

/** What stands behind a sentence: the numbers, the rule, the limit, and where the limit comes from. */
export const whyViewSchema = z.strictObject({
  /** "Dry air is on record when humidity stays below 40 %RH for 10 minutes." */
  rule: z.string(),
  numbers: z.array(z.strictObject({ label: z.string(), value: z.string() })),
  /** "Starting value (common practice, no source)." or "Set by the owner." */
  limitFrom: z.string(),
})

export const bottleViewSchema = z.strictObject({
  id: z.string(),
  title: z.string(),
  /** null: not known now (no scale, or it is silent). */
  fillPct: z.number().nullable(),
  volumeMl: z.number().nullable(),
  capacityMl: z.number(),
  nearPct: z.number(),
  fullPct: z.number(),
  sharedBy: z.array(z.string()),
  standing: z.enum(['onTheScale', 'lifted', 'unknown']),
  /** Fill in percent over the hours ahead. */
  ahead: bandSchema,
  reachesFull: aheadTimeSchema.nullable(),
  probabilityBeforeOpening: z.number().nullable(),
  /** After an emptying: what the scale then read, which may be taken as the new tare. */
  newTareKg: z.number().nullable(),
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
  power: z.strictObject({
    now: z.enum(POWER_STATES),
    spans: z.array(powerSpanSchema),
    /** Where the bands come from that tell the states apart; null with a contact alone. */
    bandsFrom: z.enum(['learned', 'told', 'startingValues']).nullable(),
  }),
  cleanings: z.array(z.strictObject({ atMs: z.int(), basis: z.enum(['seen', 'logged', 'assumed']) })),
  cap: z.enum(['capped', 'probablyUncapped', 'uncapped', 'unknown']),
  /** Somebody said that they work on it, until then. */
  servicedUntilMs: z.int().nullable(),
  outOfService: z.boolean(),
  inks: z.array(inkViewSchema),
  night: nightViewSchema.nullable(),
  why: whyViewSchema.nullable(),
  bottle: bottleViewSchema.extend({ runs: runsSchema }).nullable(),
})

export const roomViewSchema = z.strictObject({
  id: z.string(),
  title: z.string(),
  temperatureC: z.number().nullable(),
  humidityPct: z.number().nullable(),
  dewPointC: z.number().nullable(),
  vpdKpa: z.number().nullable(),
  outdoors: z.boolean(),
  targetPct: z.number(),
  /** Water that lifts the air once to the target, in kg, and that holds it there, in kg/h; null when not known. */
  waterToLiftKg: z.number().nullable(),
  waterToHoldKgPerH: z.number().nullable(),
})

export const quietViewSchema = z.strictObject({
  id: z.string(),
  kind: z.enum(QUIET_KINDS),
  /** null: the whole shop. */
  machineId: z.string().nullable(),
  fromMs: z.int(),
  toMs: z.int().nullable(),
  note: z.string(),
})
export type QuietView = z.infer<typeof quietViewSchema>

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
  /** Planned quiet that is not over. */
  quiets: z.array(quietViewSchema),
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
export type InkView = z.infer<typeof inkViewSchema>
export type NightView = z.infer<typeof nightViewSchema>
export type WhyView = z.infer<typeof whyViewSchema>
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
