import type { AirFacts } from '../track/room.ts'
import type { HoldState } from './hold.ts'
import type { Detector } from './detector.ts'
import { indoors } from './indoors.ts'
import { belowLimit } from './threshold.ts'

/**
 * Air so dry that heads dry within a night, caps or not (common practice, no source).
 *
 * VERY-DRY-1 as DRY-1 and DRY-2, with limits of its own. Dry air is then on record as well; the two are one root.
 */
export const airVeryDry: Detector<HoldState, AirFacts> = belowLimit({
  condition: 'airVeryDry',
  quantity: 'humidity',
  valueOf: indoors('humidity'),
  limitOf: (limits) => limits.airVeryDryPct,
})
