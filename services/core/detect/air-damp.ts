import type { AirFacts } from '../track/room.ts'
import type { HoldState } from './hold.ts'
import type { Detector } from './detector.ts'
import { indoors } from './indoors.ts'
import { aboveLimit } from './threshold.ts'

/**
 * Air so damp that film and powder take up moisture (common practice, no source).
 *
 * DAMP-1 opens when the room's humidity stays above `openAbove` for the on-delay, closes when it stays below `closeBelow`
 *        for the off-delay (rules HOLD-1 to HOLD-5); a room without humidity sensors is not judged.
 */
export const airDamp: Detector<HoldState, AirFacts> = aboveLimit({
  condition: 'airDamp',
  quantity: 'humidity',
  valueOf: indoors('humidity'),
  limitOf: (limits) => limits.airDampPct,
})
