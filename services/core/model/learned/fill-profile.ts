import { z } from 'zod'
import { learnedStamp } from './learned-stamp.ts'

export const HOURS_IN_WEEK = 168
/** As far back as a bottle's weeks are replayed. */
export const FILL_PROFILE_WEEKS = 8

/**
 * How a waste bottle fills over the week: what it gained in each hour of the last up to eight weeks, by the shop's own
 * clock, so that the past can be replayed from the same hour of the week.
 */
export const fillProfileSchema = z.strictObject({
  kind: z.literal('fillProfile'),
  ...learnedStamp,
  /** The zone of its hours. */
  timeZone: z.string().min(1).max(60),
  /** The first hour, as hours of local time since 1970-01-01T00:00 there. */
  firstHour: z.int(),
  /**
   * Gain in g of each hour from the first on, evaporation taken off; null where nobody weighed it or a hand was at the
   * bottle. An hour that comes twice when clocks change holds both, one that is skipped holds 0.
   */
  gainsG: z.array(z.number().nullable()).max(FILL_PROFILE_WEEKS * HOURS_IN_WEEK),
  /** What evaporates in a day, in g. */
  evaporationGPerDay: z.number().nonnegative(),
  /** Usual error of the change in an hour in which nothing flows, one standard deviation in g. */
  noiseG: z.number().nonnegative(),
})
export type FillProfile = z.infer<typeof fillProfileSchema>
