import { z } from 'zod'
import { learnedStamp } from './learned-stamp.ts'

/** Power bands of a machine, in W. */
export const powerBandsSchema = z.strictObject({
  kind: z.literal('powerBands'),
  ...learnedStamp,
  offBelowW: z.number().positive(),
})
export type PowerBands = z.infer<typeof powerBandsSchema>
