import { z } from 'zod'
import { learnedStamp } from './learned-stamp.ts'

const rangeSchema = z
  .tuple([z.number().nonnegative(), z.number().positive()])
  .refine(([low, high]) => low < high, { error: 'a band is [low, high], low first' })

/** Power bands of a machine in W, learned from its own meter. */
export const powerBandsSchema = z.strictObject({
  kind: z.literal('powerBands'),
  ...learnedStamp,
  /** Below this the machine is off. */
  offBelowW: z.number().positive(),
  /** At rest, with what pulses at rest: a stirrer, a fan. */
  standbyW: rangeSchema,
  /** null: no cleaning was told from the rest of what the machine does. */
  cleaningW: rangeSchema.nullable(),
  printingW: rangeSchema.nullable(),
  /** Nine of ten cleanings last this long, in s; null without a cleaning band. */
  cleaningS: rangeSchema.nullable(),
  /**
   * How clearly the bands stand apart: the smallest gap between neighbours over the spread of the two, both of the
   * logarithm of power. 1: the gap is as wide as both spreads together.
   */
  separation: z.number().nonnegative(),
  /** How many samples stand behind it. */
  samples: z.int().nonnegative(),
})
export type PowerBands = z.infer<typeof powerBandsSchema>
