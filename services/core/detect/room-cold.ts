import type { AirFacts } from '../track/room.ts'
import type { HoldState } from './hold.ts'
import type { Detector } from './detector.ts'
import { indoors } from './indoors.ts'
import { belowLimit } from './threshold.ts'

/**
 * A room too cold for the ink, which thickens and jets badly (common practice, no source).
 *
 * COLD-1 opens when the room's temperature stays below `openBelow` for the on-delay, closes when it stays above
 *        `closeAbove` for the off-delay (rules HOLD-1 to HOLD-5); a room without thermometers is not judged.
 */
export const roomCold: Detector<HoldState, AirFacts> = belowLimit({
  condition: 'roomCold',
  quantity: 'temperature',
  valueOf: indoors('temperature'),
  limitOf: (limits) => limits.roomColdC,
})
