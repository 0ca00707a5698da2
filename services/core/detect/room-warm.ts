import type { AirFacts } from '../track/room.ts'
import type { HoldState } from './hold.ts'
import type { Detector } from './detector.ts'
import { indoors } from './indoors.ts'
import { aboveLimit } from './threshold.ts'

/**
 * A room too warm: ink dries faster at the nozzles, and machines stop by themselves (common practice, no source).
 *
 * WARM-1 opens when the room's temperature stays above `openAbove` for the on-delay, closes when it stays below
 *        `closeBelow` for the off-delay (rules HOLD-1 to HOLD-5); a room without thermometers is not judged.
 */
export const roomWarm: Detector<HoldState, AirFacts> = aboveLimit({
  condition: 'roomWarm',
  quantity: 'temperature',
  valueOf: indoors('temperature'),
  limitOf: (limits) => limits.roomWarmC,
})
