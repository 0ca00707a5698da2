import type { TrustedFacts } from '../track/trusted.ts'
import type { Detector } from './detector.ts'
import { distrustDetector, type DistrustState } from './distrust.ts'

/**
 * A sensor that repeats one value far longer than real air, or a real scale, ever does.
 *
 * STUCK-1 opens when the value stood still for longer than its source ever may (rules STILL-1 to STILL-3), dated to
 *         the first of the equal readings.
 * STUCK-2 closes when the value lives again (rule STILL-4), dated to its first change.
 * STUCK-3 meters and contacts are not judged: a machine that is off reads 0 W for weeks.
 */
export const sensorStuck: Detector<DistrustState, TrustedFacts> = distrustDetector({
  condition: 'sensorStuck',
  distrust: 'stuck',
  hears: ['humidity', 'temperature', 'mass'],
})
