import { z } from 'zod'

/**
 * Two weighings that turn raw counts into kg: with nothing on the scale, and with a known mass. The empty bottle is
 * not part of it: its own mass is taken off by the monitor.
 */
export const calibrationSchema = z
  .strictObject({
    rawZero: z.number({ error: 'give the raw count with nothing on the scale' }),
    rawKnown: z.number({ error: 'give the raw count with the known mass on the scale' }),
    knownKg: z
      .number({ error: 'give the known mass in kg' })
      .positive({ error: 'give the known mass in kg, above 0' }),
  })
  .refine(({ rawZero, rawKnown }) => rawZero !== rawKnown, {
    path: ['rawKnown'],
    error: 'is the same as rawZero: weigh the known mass again, and check that the scale moves',
  })
export type Calibration = z.infer<typeof calibrationSchema>

/**
 * Mass in kg on the straight line through both weighings.
 *
 * @example calibratedKg({ rawZero: 8_523_456, rawKnown: 9_382_449, knownKg: 2 }, 8_952_000) // 0.99778
 * @throws {RangeError} if `raw` is not finite or the two raw counts are equal.
 */
export function calibratedKg({ rawZero, rawKnown, knownKg }: Calibration, raw: number): number {
  const kg = ((raw - rawZero) / (rawKnown - rawZero)) * knownKg
  if (!Number.isFinite(kg)) {
    throw new RangeError(
      `raw must be finite and rawZero unlike rawKnown, got ${raw}, ${rawZero}, ${rawKnown}`,
    )
  }
  return kg
}
