import { describe, expect, it } from 'vitest'
import { humidityRatioKgPerKg } from '../../../../../services/core/physics/air.ts'
import {
  dryAirDensityKgPerM3,
  humidificationLoadKgPerH,
  waterToHoldKgPerH,
  waterToLiftKg,
} from '../../../../../services/core/physics/humidification.ts'

const KG_PER_LB = 0.45359237
const M3_PER_FT3 = 0.0283168466
const sea = 101.325

describe('the moisture balance H = rho V R (Wi - Wo) - S + L', () => {
  it('example A: 1.5 m3/s of outside air at -3 degC for a room of 21 degC and 50 %RH', () => {
    // Published worked example, BVS Ltd, 2023-06-14: W 0.0079 and 0.0029 read from a chart, 0.769 m3/kg: 35.11 kg/h.
    const load = {
      densityKgPerM3: 1 / 0.769,
      outdoorM3PerH: 1.5 * 3600,
      insideKgPerKg: 0.0079,
      outsideKgPerKg: 0.0029,
    }
    expect(humidificationLoadKgPerH(load)).toBeCloseTo(35.11, 2)
  })

  it('example A from the air itself: 4 % less than the chart reading', () => {
    // The same example with psychrolib 1.1.1 (ASHRAE 2017), outside air saturated (over ice): 33.67 kg/h.
    const load = {
      densityKgPerM3: 1 / 0.769,
      outdoorM3PerH: 1.5 * 3600,
      insideKgPerKg: humidityRatioKgPerKg({ temperatureC: 21, humidityPct: 50, pressureKpa: sea }),
      outsideKgPerKg: 0.002936,
    }
    expect(humidificationLoadKgPerH(load)).toBeCloseTo(33.67, 1)
  })

  it('example B: 115,200 ft3 at one air change an hour, from 10 degF and 45 % to 70 degF and 50 %', () => {
    // Published worked example, R. L. Deppmann, 2016-09-26 (part 4): table values 3.44 and 0.30 lb/h per 100 ft3/min,
    // over 1,920 ft3/min: 60.29 lb/h (our sum of its table; the page's last line was cut off in the copy seen).
    const perHundredCfm = 3.44 - 0.3
    expect(perHundredCfm * 19.2).toBeCloseTo(60.29, 2)
    // From the air itself, psychrolib 1.1.1 at 0.075 lb/ft3: 62.16 lb/h, 3 % more.
    const load = {
      densityKgPerM3: (0.075 * KG_PER_LB) / M3_PER_FT3,
      outdoorM3PerH: 115_200 * M3_PER_FT3,
      insideKgPerKg: humidityRatioKgPerKg({
        temperatureC: (70 - 32) / 1.8,
        humidityPct: 50,
        pressureKpa: sea,
      }),
      outsideKgPerKg: humidityRatioKgPerKg({
        temperatureC: (10 - 32) / 1.8,
        humidityPct: 45,
        pressureKpa: sea,
      }),
    }
    expect(Math.abs(humidificationLoadKgPerH(load) / KG_PER_LB / 62.16 - 1)).toBeLessThan(0.015)
    expect(Math.abs(humidificationLoadKgPerH(load) / KG_PER_LB / 60.29 - 1)).toBeLessThan(0.05)
  })

  it('people and work give moisture, other losses take it; a wet outside asks for drying', () => {
    const load = { densityKgPerM3: 1.2, outdoorM3PerH: 30, insideKgPerKg: 0.007, outsideKgPerKg: 0.003 }
    expect(humidificationLoadKgPerH(load)).toBeCloseTo(0.144, 9)
    expect(humidificationLoadKgPerH({ ...load, gainsKgPerH: 0.06, lossesKgPerH: 0.01 })).toBeCloseTo(0.094, 9)
    expect(humidificationLoadKgPerH({ ...load, outsideKgPerKg: 0.011 })).toBeCloseTo(-0.144, 9)
  })
})

describe('a room of 60 m3 at 21 degC with half an air change an hour', () => {
  // Computed with psychrolib 1.1.1 at a density of 1.2 kg/m3 for outdoor air of 0 degC and 80 %RH: 0.1416 kg/h to hold
  // 45 %RH, 0.168 kg to lift the air once from 30 to 45 %RH. Our density is that of the room's own air, 1.187.
  const room = { volumeM3: 60, targetPct: 45 }

  it('needs 0.14 kg an hour to hold 45 %RH against freezing outdoor air', () => {
    const held = waterToHoldKgPerH({
      ...room,
      temperatureC: 21,
      airChangesPerH: 0.5,
      outdoorAir: { temperatureC: 0, humidityPct: 80 },
    })
    expect(held).toBeCloseTo(0.1416 * (1.1866 / 1.2), 3)
    expect(Math.abs(held / 0.1416 - 1)).toBeLessThan(0.015)
  })

  it('needs 0.17 kg once to come from 30 to 45 %RH', () => {
    const lifted = waterToLiftKg({ ...room, air: { temperatureC: 21, humidityPct: 30 } })
    expect(Math.abs(lifted / 0.168 - 1)).toBeLessThan(0.015)
  })

  it('needs none where the air is at the target, or the outdoor air brings enough', () => {
    expect(waterToLiftKg({ ...room, air: { temperatureC: 21, humidityPct: 46 } })).toBe(0)
    const summer = { temperatureC: 24, humidityPct: 80 }
    expect(waterToHoldKgPerH({ ...room, temperatureC: 21, airChangesPerH: 2, outdoorAir: summer })).toBe(0)
  })

  it('refuses a room without volume, air that is none and a wind that blows backwards', () => {
    const air = { temperatureC: 21, humidityPct: 30 }
    expect(() => waterToLiftKg({ volumeM3: 0, air, targetPct: 45 })).toThrow('volumeM3 must be above 0')
    expect(() => waterToLiftKg({ ...room, air, targetPct: NaN })).toThrow('humidityPct must be 0 to 100')
    const load = { densityKgPerM3: 1.2, outdoorM3PerH: -1, insideKgPerKg: 0.007, outsideKgPerKg: 0.003 }
    expect(() => humidificationLoadKgPerH(load)).toThrow('outdoorM3PerH must be 0 or more')
    expect(() => humidificationLoadKgPerH({ ...load, outdoorM3PerH: 1, insideKgPerKg: NaN })).toThrow(
      'numbers',
    )
  })
})

it('dry air in a cubic metre is the reciprocal of the specific volume', () => {
  // ASHRAE Example 1 (as quoted in psychrolib's tests): 40 degC, wet bulb 20 degC, W 0.0065, v 0.896 m3/kg dry air.
  expect(1 / dryAirDensityKgPerM3({ temperatureC: 40, humidityPct: 14 })).toBeCloseTo(0.896, 2)
  // psychrolib 1.1.1, GetMoistAirVolume(20 degC, W 0.0072617, 101325 Pa): 0.8401 m3/kg.
  expect(1 / dryAirDensityKgPerM3({ temperatureC: 20, humidityPct: 50 })).toBeCloseTo(0.84, 2)
})
