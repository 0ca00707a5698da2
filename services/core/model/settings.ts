import { z } from 'zod'
import { closingStepsSchema } from './closing.ts'
import { contactSchema, tellingSchema } from './contact.ts'
import { mailSchema } from './mail.ts'
import { nameSchema } from './name.ts'
import { quantitySchema, type Quantity } from './quantity.ts'
import { routineSchema } from './routine.ts'
import { sensorIdSchema } from './subject.ts'
import { trustLimitsSchema } from './trust-limits.ts'

const titleSchema = z.string().trim().min(1, { error: 'give a title of 1 to 80 characters' }).max(80)
const clockTimeSchema = z
  .string()
  .regex(/^([01]\d|2[0-3]):[0-5]\d$/, { error: 'write a time of day as HH:MM, such as 18:30' })
const dateSchema = z.iso.date({ error: 'write a date as YYYY-MM-DD' })
const minutes = (n: number) => n * 60_000

/** ISO 8601 weekdays: 1 is Monday, 7 is Sunday. */
const openingSchema = z
  .strictObject({ weekday: z.int().min(1).max(7), opens: clockTimeSchema, closes: clockTimeSchema })
  .refine((o) => o.opens < o.closes, {
    path: ['closes'],
    error: 'closes must be later than opens; for hours past midnight write two entries, one a day',
  })

export const hoursSchema = z.strictObject({
  weekly: z.array(openingSchema).max(21).default([]),
  /** Days on which the shop stays closed whatever the week says. */
  holidays: z.array(dateSchema).max(400).default([]),
})

export const INKS = ['colour', 'white'] as const
const channelGroupSchema = z.strictObject({ id: nameSchema, title: titleSchema, ink: z.enum(INKS) })
const headSchema = z.strictObject({
  id: nameSchema,
  title: titleSchema,
  installedOn: dateSchema.optional(),
  removedOn: dateSchema.optional(),
  channelGroups: z.array(channelGroupSchema).min(1).max(16),
})

/** What the owner knows of a machine's own cleaning while it is on. `unknown` until told. */
const selfCleaningSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('unknown') }),
  z.strictObject({ kind: z.literal('no') }),
  z.strictObject({
    kind: z.literal('everyHours'),
    hours: z
      .number()
      .positive()
      .max(24 * 14),
  }),
])

const bandSchema = z
  .tuple([z.number().nonnegative().max(100_000), z.number().positive().max(100_000)])
  .refine(([lowW, highW]) => lowW < highW, { error: 'write a band as [low, high], low first' })
const powerBandsSchema = z.strictObject({
  cleaning: bandSchema.optional(),
  printing: bandSchema.optional(),
  /** How long a self-cleaning takes, in s, shortest and longest. */
  cleaningS: bandSchema.optional(),
  /** The owner corrected by hand what was learned: these and `offBelowW` hold, whatever is learned. */
  insteadOfLearned: z.boolean().optional(),
})

export const machineSchema = z.strictObject({
  id: nameSchema,
  title: titleSchema,
  room: nameSchema,
  heads: z.array(headSchema).max(16).default([]),
  selfCleaning: selfCleaningSchema.default({ kind: 'unknown' }),
  /** With a meter: below this the machine counts as off. Starting value 2 W. */
  offBelowW: z.number().positive().max(10_000).default(2),
  /** What the owner knows of its power, used until bands are learned, or instead of them. */
  powerBandsW: powerBandsSchema.optional(),
})

export const bottleSchema = z.strictObject({
  id: nameSchema,
  title: titleSchema,
  machines: z
    .array(nameSchema)
    .min(1, { error: 'name at least one machine that drains into this bottle' })
    .max(16),
  capacityMl: z.number().positive().max(1_000_000),
  /** What the scale reads with the empty bottle on it, in kg. */
  tareKg: z.number().min(-100).max(1000),
  /** Of the waste, in kg per litre. Starting value 1.05: water with a little pigment and glycol. */
  densityKgPerL: z.number().min(0.5).max(2).default(1.05),
})

export const roomSchema = z.strictObject({
  id: nameSchema,
  title: titleSchema,
  /** Volume of its air. With it the board can say how much water brings the humidity back. */
  volumeM3: z.number().positive().max(100_000).optional(),
  /** How often an hour outdoor air replaces the room's. Starting value 0.5 for a closed room, no source. */
  airChangesPerH: z.number().min(0).max(60).default(0.5),
  /** Humidity that the humidifier is set to hold. Starting value 45 %RH. */
  targetPct: z.number().min(1).max(99).default(45),
  /** Not a room but the air outside: measured to tell what the room's air will do, never judged for dryness. */
  outdoors: z.boolean().default(false),
})
export const nodeSchema = z.strictObject({ id: nameSchema, title: titleSchema.optional() })

/**
 * How a device that does not speak SenML is read: the topic it publishes on, where in its payload the value
 * stands (JSON Pointer, RFC 6901; empty for the whole payload), and value x scale + offset in the quantity's unit.
 */
const foreignSchema = z.strictObject({
  topicFilter: z.string().min(1).max(200),
  pointer: z
    .string()
    .max(200)
    .regex(/^(\/.*)?$/, { error: 'a JSON Pointer is empty or begins with /' })
    .default(''),
  unit: z.string().max(20).optional(),
  scale: z.number().default(1),
  offset: z.number().default(0),
})

/**
 * A scale calibrated on the page: mass in kg is what the node sends x scale + offset. What is stored is corrected
 * already, as with a foreign device, which keeps its two numbers in `foreign`.
 */
const correctionSchema = z.strictObject({
  scale: z
    .number()
    .min(-1_000_000)
    .max(1_000_000)
    .refine((scale) => scale !== 0, { error: 'scale must not be 0: every weight would be the same' }),
  offset: z.number().min(-1_000_000).max(1_000_000),
})

/** Which subjects each quantity may be bound to. */
export const SUBJECT_OF_QUANTITY = {
  humidity: ['room'],
  temperature: ['room'],
  mass: ['bottle'],
  power: ['machine'],
  powered: ['machine', 'site'],
  voltage: ['machine'],
  current: ['machine'],
} as const satisfies Record<Quantity, readonly string[]>

const boundSubjectSchema = z.strictObject({
  kind: z.enum(['room', 'machine', 'bottle', 'site']),
  id: nameSchema,
})

export const sensorBindingSchema = z
  .strictObject({
    id: sensorIdSchema,
    title: titleSchema.optional(),
    quantity: quantitySchema,
    subject: boundSubjectSchema,
    /** Longest time between two readings that the sensor promises. */
    intervalMs: z
      .int()
      .min(100)
      .max(minutes(24 * 60))
      .default(minutes(1)),
    foreign: foreignSchema.optional(),
    correction: correctionSchema.optional(),
  })
  .refine((s) => !s.correction || (s.quantity === 'mass' && !s.foreign), {
    path: ['correction'],
    error: 'a correction is for the mass of a node of our own: leave it out, or use foreign.scale and offset',
  })
  .refine((s) => (SUBJECT_OF_QUANTITY[s.quantity] as readonly string[]).includes(s.subject.kind), {
    path: ['subject', 'kind'],
    error:
      'humidity and temperature belong to a room, mass to a bottle, power, voltage and current to a machine',
  })

const delaySchema = z
  .int()
  .min(0)
  .max(minutes(24 * 60))

/** A limit with a deadband and delays, as ISA-18.2 uses the words. `closeAbove` must stand on the well side. */
const lowLimitSchema = z
  .strictObject({
    openBelow: z.number(),
    closeAbove: z.number(),
    onDelayMs: delaySchema,
    offDelayMs: delaySchema,
  })
  .refine((l) => l.closeAbove >= l.openBelow, {
    path: ['closeAbove'],
    error: 'closeAbove must not be below openBelow',
  })
const highLimitSchema = z
  .strictObject({
    openAbove: z.number(),
    closeBelow: z.number(),
    onDelayMs: delaySchema,
    offDelayMs: delaySchema,
  })
  .refine((l) => l.closeBelow <= l.openAbove, {
    path: ['closeBelow'],
    error: 'closeBelow must not be above openAbove',
  })

const low = (openBelow: number, closeAbove: number, delayMs: number) =>
  lowLimitSchema.default({ openBelow, closeAbove, onDelayMs: delayMs, offDelayMs: delayMs })
const high = (openAbove: number, closeBelow: number, delayMs: number) =>
  highLimitSchema.default({ openAbove, closeBelow, onDelayMs: delayMs, offDelayMs: delayMs })

/** Every limit is a starting value (common practice, no source) and the owner's to change. */
export const limitsSchema = z.strictObject({
  airDryPct: low(40, 42, minutes(10)),
  airVeryDryPct: low(30, 32, minutes(10)),
  airDampPct: high(65, 62, minutes(30)),
  roomColdC: low(15, 16, minutes(20)),
  roomWarmC: high(30, 29, minutes(20)),
  /** Drying dose that a head's ink may gather before it counts as drying, by ink. */
  doseKpaH: z
    .strictObject({ colour: z.number().positive().max(100_000), white: z.number().positive().max(100_000) })
    .default({ colour: 100, white: 60 }),
  /** How much faster than in still capped air the dose grows. */
  exposureFactor: z
    .strictObject({ capped: z.number().positive().max(1000), uncapped: z.number().positive().max(10_000) })
    .default({ capped: 1, uncapped: 50 }),
  bottleNearPct: high(80, 76, minutes(2)),
  bottleFullPct: high(95, 91, minutes(2)),
  bottleMissing: z
    .strictObject({ closedMs: delaySchema, openMs: delaySchema })
    .default({ closedMs: minutes(2), openMs: minutes(5) }),
  bottleLosing: z
    .strictObject({ gramsPerHour: z.number().positive(), gramsPerDay: z.number().positive() })
    .default({ gramsPerHour: 50, gramsPerDay: 50 }),
  /** Waste that should have arrived: at least this many grams and this many standard deviations of the scale. */
  wasteOwed: z
    .strictObject({ grams: z.number().positive(), sigmas: z.number().positive() })
    .default({ grams: 20, sigmas: 5 }),
  powerOff: z
    .strictObject({
      /** On record after this long off, in closed and in open hours. */
      closedMs: delaySchema.default(minutes(1)),
      openMs: delaySchema.default(minutes(5)),
      /** Told at night after this long when the head is probably off its cap, ... */
      uncappedMs: delaySchema.default(minutes(2)),
      /** ... and after this long when the ink would pass its limit before opening. */
      toldMs: delaySchema.default(minutes(15)),
    })
    .prefault({}),
  flickering: z
    .strictObject({ times: z.int().min(2).max(1000), withinMs: delaySchema })
    .default({ times: 3, withinMs: minutes(60) }),
  /** Machines that lose power within this time of each other are one outage. */
  outageHoldMs: z.int().min(0).max(minutes(10)).default(minutes(1)),
  /** No cleaning for this many of the usual intervals. */
  /** What a partial cleaning leaves of the drying dose, 0 to 1. */
  partialCleaningKeeps: z.number().min(0).max(1).default(0.5),
  notCleaningIntervals: z.number().min(1).max(100).default(1.5),
  idleMs: z
    .int()
    .min(minutes(10))
    .max(minutes(60 * 24 * 30))
    .default(minutes(60 * 24)),
  /** How long a person who said so works on a machine before the question comes whether the head is still uncapped. */
  servicingMs: delaySchema.default(minutes(20)),
  /** How probable a trouble ahead must be: to stand on the list, and to wake somebody. */
  forecast: z
    .strictObject({
      listProbability: z.number().min(0.05).max(1),
      wakeProbability: z.number().min(0.05).max(1),
    })
    .default({ listProbability: 0.5, wakeProbability: 0.8 }),
  trust: trustLimitsSchema.prefault({}),
  silent: z
    .strictObject({ intervals: z.number().min(1).max(1000), atLeastMs: delaySchema })
    .default({ intervals: 3, atLeastMs: minutes(2) }),
})

const ianaZoneSchema = z.string().min(1).max(60)
export const siteSchema = z.strictObject({
  id: nameSchema,
  title: titleSchema,
  /** IANA time zone, such as Europe/Brussels; all hours and dates of these settings are meant in it. */
  timeZone: ianaZoneSchema.default('UTC'),
  temperatureUnit: z.enum(['degC', 'degF']).default('degC'),
  volumeUnit: z.enum(['mL', 'fl oz']).default('mL'),
})

const settingsShape = z.strictObject({
  site: siteSchema,
  hours: hoursSchema.default({ weekly: [], holidays: [] }),
  rooms: z.array(roomSchema).max(50).default([]),
  machines: z.array(machineSchema).max(50).default([]),
  bottles: z.array(bottleSchema).max(50).default([]),
  nodes: z.array(nodeSchema).max(1000).default([]),
  sensors: z.array(sensorBindingSchema).max(5000).default([]),
  /** Who is told, in the order in which they are asked. */
  contacts: z.array(contactSchema).max(20).default([]),
  telling: tellingSchema.prefault({}),
  /** Routines of the owner's own, and ready-made ones that the owner changed or switched off (same id). */
  routines: z.array(routineSchema).max(100).default([]),
  /** How mail leaves the house; without it none does. Its password is kept sealed, not here. */
  mail: mailSchema.optional(),
  closingSteps: closingStepsSchema,
  limits: limitsSchema.prefault({}),
})
export type Settings = z.infer<typeof settingsShape>
export type SensorBinding = z.infer<typeof sensorBindingSchema>
export type Machine = z.infer<typeof machineSchema>
export type Bottle = z.infer<typeof bottleSchema>
export type Room = z.infer<typeof roomSchema>
export type Limits = z.infer<typeof limitsSchema>
export type LowLimit = z.infer<typeof lowLimitSchema>
export type HighLimit = z.infer<typeof highLimitSchema>

/** The whole of what the owner decides. Unknown keys are refused, so that a misspelt limit is never silently ignored. */
export const settingsSchema = settingsShape.superRefine((settings, context) => {
  const refuse = (path: (string | number)[], message: string) =>
    context.addIssue({ code: 'custom', path, message })
  refuseDuplicates('rooms', settings.rooms, refuse)
  refuseDuplicates('machines', settings.machines, refuse)
  refuseDuplicates('bottles', settings.bottles, refuse)
  refuseDuplicates('nodes', settings.nodes, refuse)
  refuseDuplicates('sensors', settings.sensors, refuse)
  refuseDuplicates('contacts', settings.contacts, refuse)
  refuseDuplicates('routines', settings.routines, refuse)
  refuseDuplicates(
    'heads',
    settings.machines.flatMap((m) => m.heads),
    refuse,
  )
  refuseDuplicates(
    'channelGroups',
    settings.machines.flatMap((m) => m.heads.flatMap((h) => h.channelGroups)),
    refuse,
  )
  refuseDangling(settings, refuse)
  refuseTopicOverlap(settings, refuse)
})

type Refuse = (path: (string | number)[], message: string) => void

function refuseDuplicates(list: string, items: readonly { id: string }[], refuse: Refuse): void {
  const seen = new Set<string>()
  items.forEach(({ id }, at) => {
    if (seen.has(id)) refuse([list, at, 'id'], `${id} stands twice in ${list}: give each its own id`)
    seen.add(id)
  })
}

function refuseDangling(settings: Settings, refuse: Refuse): void {
  const ids = {
    room: new Set(settings.rooms.map((r) => r.id)),
    machine: new Set(settings.machines.map((m) => m.id)),
    bottle: new Set(settings.bottles.map((b) => b.id)),
    site: new Set([settings.site.id]),
  }
  settings.machines.forEach((m, at) => {
    if (!ids.room.has(m.room))
      refuse(['machines', at, 'room'], `there is no room ${m.room}: add it under rooms`)
  })
  settings.bottles.forEach((b, at) =>
    b.machines.forEach((m, i) => {
      if (!ids.machine.has(m))
        refuse(['bottles', at, 'machines', i], `there is no machine ${m}: add it under machines`)
    }),
  )
  settings.sensors.forEach((s, at) => {
    if (!ids[s.subject.kind].has(s.subject.id)) {
      refuse(['sensors', at, 'subject', 'id'], `there is no ${s.subject.kind} ${s.subject.id}: add it first`)
    }
  })
}

/** A foreign filter must stay clear of our own topics, or a device could speak in a node's name. */
function refuseTopicOverlap(settings: Settings, refuse: Refuse): void {
  settings.sensors.forEach((s, at) => {
    if (!s.foreign) return
    const problem = problemOfTopicFilter(s.foreign.topicFilter)
    if (problem) refuse(['sensors', at, 'foreign', 'topicFilter'], problem)
  })
}

/** Why a foreign topic filter cannot be used, or null. MQTT 3.1.1 section 4.7: `+` stands for a level, `#` for the rest. */
export function problemOfTopicFilter(filter: string): string | null {
  const levels = filter.split('/')
  const first = levels[0] ?? ''
  if (first === '#' || first === '+' || first === 'nightcap') {
    return 'a foreign topic must not reach into nightcap/: begin with a fixed word other than nightcap'
  }
  if (first.startsWith('$')) return 'topics that begin with $ belong to the broker: name another'
  const wrong = levels.some((level, i) =>
    level.includes('#') ? level !== '#' || i !== levels.length - 1 : level.includes('+') && level !== '+',
  )
  if (wrong) return '+ must stand alone in its level, and # alone and last'
  return filter.includes('\0') ? 'a topic must not hold a zero character' : null
}

/** An empty shop: what a first start begins with. */
export function emptySettings(): Settings {
  return settingsSchema.parse({ site: { id: 'shop', title: 'My shop' } })
}
