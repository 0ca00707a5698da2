import { z } from 'zod'
import { actSchema, CHECK_REASONS } from './act.ts'
import { nameSchema } from './name.ts'
import { quantitySchema } from './quantity.ts'
import { settingsSchema } from './settings.ts'
import { sensorIdSchema } from './subject.ts'

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

const missingSchema = z.strictObject({
  channelGroupId: nameSchema,
  missingNozzles: z.int().nonnegative().max(100_000),
})

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
    readings: z.array(readingSchema),
  }),
  z.strictObject({ type: z.literal('nodeStatus'), ...stamp, nodeId: nameSchema, online: z.boolean() }),
  z.strictObject({ type: z.literal('settings'), ...stamp, act: actSchema, settings: settingsSchema }),
  /** The monitor's clock has passed a deadline that the kernel asked for. */
  z.strictObject({ type: z.literal('deadline'), ...stamp }),
  /** The monitor was not running from `fromMs` to `atMs`. */
  z.strictObject({ type: z.literal('monitorDark'), ...stamp, fromMs: z.int() }),
  z.strictObject({ type: z.literal('alarmAcknowledged'), ...stamp, act: actSchema, alarmId: z.string() }),
  z.strictObject({
    type: z.literal('taskSignedOff'),
    ...stamp,
    act: actSchema,
    taskId: z.string(),
    note: z.string().max(500).default(''),
  }),
  z.strictObject({
    type: z.literal('nozzleCheckLogged'),
    ...stamp,
    act: actSchema,
    machineId: nameSchema,
    reason: z.enum(CHECK_REASONS),
    missing: z.array(missingSchema),
  }),
])
export type InputBody = z.infer<typeof inputBodySchema>
export type Input = InputBody & { readonly seq: number }
export type InputOf<T extends InputBody['type']> = Extract<Input, { type: T }>
