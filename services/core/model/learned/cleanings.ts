import { z } from 'zod'
import { learnedStamp } from './learned-stamp.ts'

/** The usual time from the end of one self-cleaning of a machine to the next while it is on and idle. */
export const cleaningIntervalSchema = z.strictObject({
  kind: z.literal('cleaningInterval'),
  ...learnedStamp,
  /** Median. */
  hours: z.number().positive(),
  /** Median distance from the median, in hours. */
  spreadHours: z.number().nonnegative().optional(),
  /** How many such times stand behind it. */
  intervals: z.int().nonnegative().optional(),
})
export type CleaningInterval = z.infer<typeof cleaningIntervalSchema>

/** What one self-cleaning of a machine adds to its waste bottle. */
export const cleaningWasteSchema = z.strictObject({
  kind: z.literal('cleaningWaste'),
  ...learnedStamp,
  gramsPerCleaning: z.number().nonnegative(),
  sigmaG: z.number().nonnegative(),
  cleanings: z.int().nonnegative(),
  /** Of these, the share that brought at least half of the usual. */
  broughtShare: z.number().min(0).max(1).optional(),
})
export type CleaningWaste = z.infer<typeof cleaningWasteSchema>
