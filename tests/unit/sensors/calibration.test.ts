import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { calibratedKg, calibrationSchema } from '../../../sensors/calibration.ts'

const { cell_example: cell } = JSON.parse(
  readFileSync(new URL('../../reference/iio_vectors.json', import.meta.url), 'utf8'),
) as {
  cell_example: {
    counts_per_g: number
    two_point: Record<'raw_at_0g' | 'raw_at_2000g' | 'counts_per_g' | 'raw_unknown' | 'mass_g', number>
  }
}
const { two_point: two } = cell
const calibration = { rawZero: two.raw_at_0g, rawKnown: two.raw_at_2000g, knownKg: 2 }

describe('two weighings of a scale', () => {
  it('CAL-1 give the mass of the worked example (computed from the reference table)', () => {
    expect(calibratedKg(calibration, two.raw_unknown)).toBeCloseTo(two.mass_g / 1000, 12)
    expect(calibratedKg(calibration, two.raw_at_0g)).toBe(0)
    expect(calibratedKg(calibration, two.raw_at_2000g)).toBe(2)
  })

  it('CAL-2 one gram is the counts that cell, excitation and gain say: 2^24 x 128 / 5 V x 1 mV/V x 5 V / 5 kg', () => {
    const countsPerKg = 1 / (calibratedKg(calibration, 1) - calibratedKg(calibration, 0))
    expect(countsPerKg / 1000).toBeCloseTo(cell.counts_per_g, 2)
  })

  it('CAL-3 a scale mounted upside down counts down, and is as good', () => {
    expect(calibratedKg({ rawZero: 1000, rawKnown: 0, knownKg: 1 }, 250)).toBe(0.75)
  })

  it('CAL-4 equal counts, infinite ones and a mass of nothing are refused, with field and cure', () => {
    const refused = (change: object): [string, string][] =>
      calibrationSchema
        .safeParse({ ...calibration, ...change })
        .error?.issues.map((i) => [i.path.join('.'), i.message]) ?? []
    expect(refused({ rawKnown: calibration.rawZero })).toEqual([
      ['rawKnown', expect.stringMatching(/weigh .* again/)],
    ])
    expect(refused({ rawZero: Number.NaN })).toEqual([
      ['rawZero', expect.stringMatching(/give the raw count/)],
    ])
    expect(refused({ rawKnown: Number.POSITIVE_INFINITY })).toEqual([
      ['rawKnown', expect.stringMatching(/give/)],
    ])
    expect(refused({ knownKg: 0 })).toEqual([['knownKg', expect.stringMatching(/above 0/)]])
    expect(() => calibratedKg({ ...calibration, rawKnown: calibration.rawZero }, 5)).toThrow(RangeError)
    expect(() => calibratedKg(calibration, Number.NaN)).toThrow(RangeError)
  })

  it('CAL-5 equal steps of counts are equal steps of mass', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 16_000_000 }),
        fc.integer({ min: 1, max: 100_000 }),
        (raw, step) => {
          const kg = calibratedKg(calibration, raw + step) - calibratedKg(calibration, raw)
          expect(kg).toBeCloseTo((step * 2) / (two.raw_at_2000g - two.raw_at_0g), 9)
        },
      ),
    )
  })
})
