import type { TrustedFacts } from '../track/trusted.ts'
import type { Detector } from './detector.ts'
import { distrustDetector, type DistrustState } from './distrust.ts'

/**
 * A sensor that differs for long from the others of its quantity in its room. A slow drift shows in no other way, and
 * a sensor that is alone in its room cannot be found out so.
 *
 * STEP-OUT-1 opens on the odd one out of three or more; of two, on the one that is clearly broken, or on both (rules
 *            STEP-1 to STEP-3), dated to the first reading apart. Its value is the difference, signed.
 * STEP-OUT-2 closes when it is back in step, or when the others turned out broken or are gone (rule STEP-4).
 */
export const sensorOutOfStep: Detector<DistrustState, TrustedFacts> = distrustDetector({
  condition: 'sensorOutOfStep',
  distrust: 'outOfStep',
  hears: ['humidity', 'temperature'],
})
