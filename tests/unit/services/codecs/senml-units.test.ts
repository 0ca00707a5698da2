import { describe, expect, it } from 'vitest'
import { normaliseUnit } from '../../../../services/codecs/senml-units.ts'

describe('normaliseUnit', () => {
  // Source: RFC 8798 section 3; the first two are its own examples.
  const secondary: readonly [number, string, number, string][] = [
    [100, 'ms', 0.1, 's'],
    [10, 'dBm', -20, 'dBW'],
    [2, 'kWh', 7_200_000, 'J'],
    [1.5, 'kW', 1500, 'W'],
    [230_000, 'mV', 230, 'V'],
    [415, 'mA', 0.415, 'A'],
    [1013.25, 'hPa', 101_325, 'Pa'],
    [45, '/100', 0.45, '/'],
    [400, 'ppm', 0.0004, '/'],
    [36, 'km/h', 10, 'm/s'],
  ]
  it.each(secondary)('UNIT-1 %d %s is %d %s', (value, unit, meant, primary) => {
    expect(normaliseUnit({ value, unit })).toEqual({ value: meant, unit: primary })
  })

  it('UNIT-2 % is a ratio, not a percentage (RFC 8428 section 12.1, note 2)', () => {
    expect(normaliseUnit({ value: 0.45, unit: '%' })).toEqual({ value: 0.45, unit: '/' })
  })

  it('UNIT-3 grams become kilograms', () => {
    expect(normaliseUnit({ value: 997, unit: 'g' })).toEqual({ value: 0.997, unit: 'kg' })
  })

  it('UNIT-4 a primary or an unknown unit stays as it is', () => {
    expect(normaliseUnit({ value: 41, unit: '%RH' })).toEqual({ value: 41, unit: '%RH' })
    expect(normaliseUnit({ value: 1, unit: 'constructor' })).toEqual({ value: 1, unit: 'constructor' })
  })
})
