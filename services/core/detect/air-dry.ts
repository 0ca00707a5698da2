import type { AirFacts } from '../track/room.ts'
import type { HoldState } from './hold.ts'
import type { Detector } from './detector.ts'
import { indoors } from './indoors.ts'
import { belowLimit } from './threshold.ts'

/**
 * Air too dry in a room. Below about 40 %RH water-based ink dries at the nozzles (common practice, no source).
 *
 * DRY-1 opens when the room's humidity (rules AIR-1, AIR-2) stays below `openBelow` for the on-delay, closes when it stays
 *       above `closeAbove` for the off-delay (rules HOLD-1 to HOLD-5).
 * DRY-2 a room that loses its last humidity sensor has no dry air any more, it has no known air.
 */
export const airDry: Detector<HoldState, AirFacts> = belowLimit({
  condition: 'airDry',
  quantity: 'humidity',
  valueOf: indoors('humidity'),
  limitOf: (limits) => limits.airDryPct,
})
