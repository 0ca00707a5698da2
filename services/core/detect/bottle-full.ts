import type { BottleFacts } from '../track/bottle-facts.ts'
import { fillAbove } from './bottle-fill.ts'
import type { Detector } from './detector.ts'
import type { HoldState } from './hold.ts'

/**
 * A waste bottle at its capacity: the next purge may run over (common practice, no source).
 *
 * FULL-1 as NEAR-1 to NEAR-3, with limits of its own. A full bottle is a near one as well; the two are one root.
 */
export const bottleFull: Detector<HoldState, BottleFacts> = fillAbove(
  'bottleFull',
  (limits) => limits.bottleFullPct,
)
