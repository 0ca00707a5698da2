import { z } from 'zod'
import { learnedStamp } from './learned-stamp.ts'

/** How a waste bottle fills over the week. */
export const fillProfileSchema = z.strictObject({
  kind: z.literal('fillProfile'),
  ...learnedStamp,
})
export type FillProfile = z.infer<typeof fillProfileSchema>
