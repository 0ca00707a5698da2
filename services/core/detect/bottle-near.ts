import type { BottleFacts } from '../track/bottle-facts.ts'
import { fillAbove } from './bottle-fill.ts'
import type { Detector } from './detector.ts'
import type { HoldState } from './hold.ts'

/**
 * A waste bottle near its capacity. An overfull bottle puts ink on the floor and into the machine, and many
 * machines have no sensor on it (common practice, no source).
 *
 * NEAR-1 opens when the filtered fill (BOTTLE-1) stays above `openAbove` percent for the on-delay, so that a hand on the
 *        scale or a bump opens nothing; closes when it stays below `closeBelow` for the off-delay (HOLD-1 to HOLD-5).
 * NEAR-2 a lifted bottle closes nothing and opens nothing: a wait ends, and what is open stays open until it is weighed
 *        again. The same holds for a scale that has fallen silent.
 * NEAR-3 a bottle without a scale is never judged; one that loses its scale is no longer near.
 */
export const bottleNear: Detector<HoldState, BottleFacts> = fillAbove(
  'bottleNear',
  (limits) => limits.bottleNearPct,
)
