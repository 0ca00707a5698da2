import type { TrustedFacts } from '../track/trusted.ts'
import type { Detector } from './detector.ts'
import { distrustDetector, type DistrustState } from './distrust.ts'

/**
 * A sensor that tells what the air of a workplace cannot be, or cannot do so fast; a scale that tells more than a bottle
 * can weigh.
 *
 * IMPLAUSIBLE-1 opens after several values outside the range or several jumps (rules PLAUSIBLE-1 to PLAUSIBLE-3),
 *               dated to the first of them.
 * IMPLAUSIBLE-2 one bad reading opens nothing.
 * IMPLAUSIBLE-3 closes after a stretch of good readings (rule PLAUSIBLE-4), dated to the first of them.
 */
export const sensorImplausible: Detector<DistrustState, TrustedFacts> = distrustDetector({
  condition: 'sensorImplausible',
  distrust: 'implausible',
  hears: ['humidity', 'temperature', 'mass'],
})
