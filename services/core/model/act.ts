import { z } from 'zod'

/** How a human act reached the monitor. */
export const VIAS = ['screen', 'phone', 'program'] as const
/** Who did it, how, when. The actor is an id; the name lives in one table that can be erased. */
export const actSchema = z.strictObject({
  actorId: z.string().min(1).max(64),
  via: z.enum(VIAS),
  atMs: z.int().nonnegative(),
})
export type Act = z.infer<typeof actSchema>

/** Why a nozzle check was made: without it, Causes would take checks made on suspicion for a sample of all nights. */
export const CHECK_REASONS = ['routine', 'suspicion', 'afterCleaning', 'baseline'] as const
export type CheckReason = (typeof CHECK_REASONS)[number]

/** What a person did to a head, as far as it wets the ink. `partlyCleaned`: a short cleaning, or one of some nozzles. */
export const CARES = ['printed', 'cleaned', 'partlyCleaned', 'whiteStirred'] as const
export type Care = (typeof CARES)[number]

/** Planned quiet: a machine out of service, or known work on the power. */
export const QUIET_KINDS = ['outOfService', 'powerWork'] as const
export type QuietKind = (typeof QUIET_KINDS)[number]
