import { z } from 'zod'
import { actSchema } from './act.ts'
import { nameSchema } from './name.ts'

/** What is said of waste that left the shop. */
export const disposalFields = {
  /** The same id again is a correction: the newest entry counts, the older ones stay as its history. */
  disposalId: z.string().min(1).max(64),
  /** The bottle it came from; null for a drum, or for several together. */
  bottleId: nameSchema.nullable(),
  /** 0 in a correction says that nothing left after all. */
  volumeMl: z.number().min(0).max(10_000_000),
  toWhom: z.string().trim().min(1, { error: 'say who took it, or where it was brought' }).max(120),
  note: z.string().max(500).default(''),
  /** When it left the shop. */
  disposedMs: z.int().nonnegative(),
}

export const disposalSchema = z.strictObject({ ...disposalFields, act: actSchema })
/** An entry of the disposal log. Local rules say what must be written down and for how long it is kept. */
export type Disposal = z.infer<typeof disposalSchema>

/** What a scale saw leave at an emptying: offered as the volume of a disposal. */
export interface Emptied {
  readonly bottleId: string
  readonly atMs: number
  readonly volumeMl: number
}
