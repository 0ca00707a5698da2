import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  absoluteHumidityGPerM3,
  dewPointC,
  frostPointC,
  humidityRatioKgPerKg,
  relativeHumidityPct,
  saturationVapourPressureKpa,
  saturationVapourPressureOverWaterKpa,
  STANDARD_PRESSURE_KPA,
  vapourPressureDeficitKpa,
  vapourPressureKpa,
} from '../../../../../services/core/physics/air.ts'
import { numberIn, referenceTable } from '../../../../parts/reference-table.ts'

interface Vectors {
  saturation_water: { t: number; iapws95: number; psychrolib: number; wmo8: number }[]
  saturation_ice: { t: number; iapws_sublimation: number; psychrolib: number; wmo8_water_at_same_t: number }[]
  ashrae_2017_table_values_quoted_in_psychrolib_tests: {
    sat_vap_pres_pa: Record<string, number>
    sat_hum_ratio_kg_kg_101325: Record<string, number>
  }
  states: {
    t: number
    rh: number
    td_psychrolib: number
    td_over_water_tetens: number
    humidity_ratio_g_kg: number
    vpd_pa: number
    abs_humidity_g_m3: number
  }[]
}
const vectors = JSON.parse(
  readFileSync(new URL('../../../../reference/psychro_vectors.json', import.meta.url), 'utf8'),
) as Vectors
const table = vectors.ashrae_2017_table_values_quoted_in_psychrolib_tests

const relativeError = (got: number, wanted: number): number => Math.abs(got / wanted - 1)
const inAir = (t: number, rh: number) => ({ temperatureC: t, humidityPct: rh })

describe('saturation vapour pressure', () => {
  it.each(vectors.saturation_water)(
    'over water at $t degC is within 0.03 % of IAPWS-95',
    ({ t, iapws95 }) => {
      expect(relativeError(saturationVapourPressureOverWaterKpa(t) * 1000, iapws95)).toBeLessThan(3e-4)
    },
  )

  it.each(vectors.saturation_ice)(
    'over ice at $t degC is within 0.035 % of the IAPWS sublimation curve',
    (row) => {
      expect(relativeError(saturationVapourPressureKpa(row.t) * 1000, row.iapws_sublimation)).toBeLessThan(
        3.5e-4,
      )
      expect(relativeError(saturationVapourPressureKpa(row.t) * 1000, row.psychrolib)).toBeLessThan(1e-5)
    },
  )

  // ASHRAE Fundamentals 2017, chapter 1, table 3, as quoted with this tolerance in psychrolib's own tests.
  it.each(Object.entries(table.sat_vap_pres_pa).filter(([t]) => t !== 'rel_tol'))(
    'at %s degC is the value of the ASHRAE table, %d Pa, within 300 ppm',
    (t, pa) => {
      const allowedPa = t === '-60' ? 0.01 : pa * 3e-4
      expect(Math.abs(saturationVapourPressureKpa(Number(t)) * 1000 - pa)).toBeLessThanOrEqual(allowedPa)
    },
  )

  it('over supercooled water is within 0.5 % of the WMO-8 form from -5 to -40 degC, and always above ice', () => {
    for (const { t, wmo8_water_at_same_t } of vectors.saturation_ice.filter((row) => row.t <= -5)) {
      expect(
        relativeError(saturationVapourPressureOverWaterKpa(t) * 1000, wmo8_water_at_same_t),
      ).toBeLessThan(5e-3)
      expect(saturationVapourPressureOverWaterKpa(t)).toBeGreaterThan(saturationVapourPressureKpa(t) * 1.04)
    }
  })

  it('turns from ice to water at 0.01 degC without a step', () => {
    const step = saturationVapourPressureKpa(0.01) / saturationVapourPressureKpa(0.0099999) - 1
    expect(Math.abs(step)).toBeLessThan(1e-4)
    expect(saturationVapourPressureKpa(0.01)).toBe(saturationVapourPressureOverWaterKpa(0.01))
  })

  // IAPWS-IF97 region 4 check value at 300 K: 3536.589 Pa.
  it('at 300 K is the IF97 check value within 0.03 %', () => {
    expect(relativeError(saturationVapourPressureOverWaterKpa(300 - 273.15) * 1000, 3536.589)).toBeLessThan(
      3e-4,
    )
  })
})

describe('FAO-56 examples', () => {
  // Allen et al. 1998, chapter 3. Its eq. 11 (Tetens) differs from ours by up to 0.11 %, hence the tolerances.
  it('example 3: mean saturation pressure of 15 and 24.5 degC is 2.39 kPa', () => {
    const mean = (saturationVapourPressureKpa(15) + saturationVapourPressureKpa(24.5)) / 2
    expect(saturationVapourPressureKpa(24.5)).toBeCloseTo(3.075, 2)
    expect(saturationVapourPressureKpa(15)).toBeCloseTo(1.705, 2)
    expect(Math.abs(mean - 2.39)).toBeLessThan(0.005)
  })

  it('examples 5 and 6: vapour pressure 1.70 kPa and deficit 0.91 kPa', () => {
    const actual = (vapourPressureKpa(inAir(18, 82)) + vapourPressureKpa(inAir(25, 54))) / 2
    const saturated = (saturationVapourPressureKpa(18) + saturationVapourPressureKpa(25)) / 2
    expect(Math.abs(actual - 1.7)).toBeLessThan(0.005)
    expect(Math.abs(saturated - actual - 0.91)).toBeLessThan(0.01)
  })
})

describe('state points at 101.325 kPa', () => {
  // Computed with psychrolib 1.1.1 (ASHRAE 2017); its dew point below 0 degC is the frost point.
  const warmEnough = vectors.states.filter((s) => s.t > 0)
  it.each(warmEnough)('$t degC, $rh %RH agrees with psychrolib', (state) => {
    const air = inAir(state.t, state.rh)
    const ratio = humidityRatioKgPerKg({ ...air, pressureKpa: STANDARD_PRESSURE_KPA })
    expect(Math.abs(ratio * 1000 - state.humidity_ratio_g_kg)).toBeLessThan(1e-4)
    expect(Math.abs(vapourPressureDeficitKpa(air) * 1000 - state.vpd_pa)).toBeLessThan(0.01)
    expect(relativeError(absoluteHumidityGPerM3(air), state.abs_humidity_g_m3)).toBeLessThan(1e-3)
    expect(Math.abs(dewPointC(air) - state.td_over_water_tetens)).toBeLessThan(0.05)
    const psychrolibsDewPoint = frostPointC(air) ?? dewPointC(air)
    expect(Math.abs(psychrolibsDewPoint - state.td_psychrolib)).toBeLessThan(0.002)
  })

  // ASHRAE 2017, chapter 1, table 2 carries an enhancement factor that the formula leaves out: up to 2 %.
  it.each(Object.entries(table.sat_hum_ratio_kg_kg_101325))(
    'saturated air at %s degC holds the %d kg/kg of the ASHRAE table within 2 %%',
    (t, wanted) => {
      const saturated = saturationVapourPressureKpa(Number(t))
      const humidityPct = (saturated / saturationVapourPressureOverWaterKpa(Number(t))) * 100
      const ratio = humidityRatioKgPerKg({
        ...inAir(Number(t), humidityPct),
        pressureKpa: STANDARD_PRESSURE_KPA,
      })
      expect(relativeError(ratio, wanted)).toBeLessThan(0.02)
    },
  )

  it('winter air of 0 degC and 80 %RH warmed to 21 degC is 19.7 %RH', () => {
    const ratio = humidityRatioKgPerKg({ ...inAir(0, 80), pressureKpa: STANDARD_PRESSURE_KPA })
    expect(Math.abs(ratio - 0.0030156)).toBeLessThan(1e-6)
    const warmed = { temperatureC: 21, humidityRatioKgPerKg: ratio, pressureKpa: STANDARD_PRESSURE_KPA }
    expect(relativeHumidityPct(warmed)).toBeCloseTo(19.65, 1)
  })

  it('dew point and frost point are told apart below freezing', () => {
    expect(dewPointC(inAir(22, 20))).toBeCloseTo(-1.97, 2)
    expect(frostPointC(inAir(22, 20))).toBeCloseTo(-1.743, 3)
    expect(frostPointC(inAir(25, 50))).toBeNull()
  })
})

describe('real rows', () => {
  it('humidity ratio of an office (UCI 357, computed there from 101.325 kPa) agrees within 0.01 %', () => {
    const worst = ['occupancy_office_1min_2000.csv', 'occupancy_office_15min.csv'].map((file) =>
      Math.max(
        ...referenceTable(file).map((row) => {
          const air = inAir(numberIn(row, 'temperature_c'), numberIn(row, 'rh_percent'))
          const ratio = humidityRatioKgPerKg({ ...air, pressureKpa: STANDARD_PRESSURE_KPA })
          return relativeError(ratio, numberIn(row, 'humidity_ratio_kg_kg'))
        }),
      ),
    )
    expect(Math.max(...worst)).toBeLessThan(1e-4)
  })

  it('dew point of a weather station (UCI 374, humidity rounded to 1 %): p99 within 0.25 K, all within 0.6 K', () => {
    const errors = ['house_10min_2000.csv', 'house_2hourly_full.csv']
      .flatMap(referenceTable)
      .map((row) => {
        const air = inAir(numberIn(row, 'outdoor_temperature_c'), numberIn(row, 'outdoor_rh_percent'))
        return Math.abs(dewPointC(air) - numberIn(row, 'outdoor_dewpoint_c'))
      })
      .sort((a, b) => a - b)
    expect(errors.length).toBe(3645)
    expect(errors[Math.floor(errors.length * 0.99)]).toBeLessThan(0.25)
    expect(errors.at(-1)).toBeLessThan(0.6)
  })

  it('dew point at an airport (nycflights13, columns not always of one minute): 90 % of rows within 0.1 K', () => {
    const rows = referenceTable('nyc_jfk_5hourly.csv')
    const toC = (f: number): number => (f - 32) / 1.8
    const near = rows.filter((row) => {
      const air = inAir(toC(numberIn(row, 'temp_f')), numberIn(row, 'rh_percent'))
      return Math.abs(dewPointC(air) - toC(numberIn(row, 'dewp_f'))) <= 0.1
    })
    expect(near.length / rows.length).toBeGreaterThan(0.9)
  })
})

const temperature = fc.double({ min: -40, max: 60, noNaN: true })
const humidity = fc.double({ min: 1, max: 100, noNaN: true })

describe('laws', () => {
  it('the dew point is never above the air, and equals it only when saturated', () => {
    let saturated = 0
    fc.assert(
      fc.property(temperature, fc.oneof(humidity, fc.constant(100)), (t, rh) => {
        const dewC = dewPointC(inAir(t, rh))
        expect(dewC).toBeLessThanOrEqual(t + 1e-9)
        if (rh === 100) {
          saturated++
          expect(dewC).toBeCloseTo(t, 6)
        }
      }),
    )
    expect(saturated).toBeGreaterThan(0)
  })

  it('cooled to its dew point air is saturated, and to its frost point it is saturated over ice', () => {
    let frosts = 0
    fc.assert(
      fc.property(temperature, humidity, (t, rh) => {
        const air = inAir(t, rh)
        expect(
          relativeError(saturationVapourPressureOverWaterKpa(dewPointC(air)), vapourPressureKpa(air)),
        ).toBeLessThan(1e-8)
        const frostC = frostPointC(air)
        if (frostC === null) return
        frosts++
        expect(relativeError(saturationVapourPressureKpa(frostC), vapourPressureKpa(air))).toBeLessThan(1e-8)
        if (dewPointC(air) < -0.01) expect(frostC).toBeGreaterThan(dewPointC(air))
      }),
    )
    expect(frosts).toBeGreaterThan(0)
  })

  it('humidity ratio and back gives the humidity it began with', () => {
    fc.assert(
      fc.property(
        temperature,
        humidity,
        fc.double({ min: 60, max: 105, noNaN: true }),
        (t, rh, pressureKpa) => {
          const ratio = humidityRatioKgPerKg({ ...inAir(t, rh), pressureKpa })
          expect(
            relativeHumidityPct({ temperatureC: t, humidityRatioKgPerKg: ratio, pressureKpa }),
          ).toBeCloseTo(rh, 8)
        },
      ),
    )
  })

  it('deficit and vapour pressure add up to saturation', () => {
    fc.assert(
      fc.property(temperature, humidity, (t, rh) => {
        const sum = vapourPressureDeficitKpa(inAir(t, rh)) + vapourPressureKpa(inAir(t, rh))
        expect(relativeError(sum, saturationVapourPressureOverWaterKpa(t))).toBeLessThan(1e-12)
      }),
    )
  })
})

describe('what is refused, with the argument, its range and the value', () => {
  it.each([
    [
      'a temperature that is no number',
      () => saturationVapourPressureKpa(NaN),
      'temperatureC must be -100 to 200 degC, got NaN',
    ],
    [
      'a temperature in kelvin',
      () => saturationVapourPressureOverWaterKpa(294),
      'temperatureC must be -100 to 200 degC, got 294',
    ],
    [
      'a humidity above 100',
      () => vapourPressureDeficitKpa(inAir(20, 100.1)),
      'humidityPct must be 0 to 100 %RH, got 100.1',
    ],
    [
      'a humidity that is no number',
      () => vapourPressureKpa(inAir(20, NaN)),
      'humidityPct must be 0 to 100 %RH, got NaN',
    ],
    [
      'a dew point of dry air',
      () => dewPointC(inAir(20, 0)),
      'humidityPct must be above 0 and give a dew point of -100 degC or more, got 0',
    ],
    [
      'a pressure in Pa',
      () => humidityRatioKgPerKg({ ...inAir(20, 50), pressureKpa: 101325 }),
      'pressureKpa must be 30 to 120 kPa, got 101325',
    ],
    [
      'steam',
      () => humidityRatioKgPerKg({ ...inAir(120, 100), pressureKpa: 101 }),
      'temperatureC and humidityPct must keep the vapour below pressureKpa 101',
    ],
    [
      'a humidity ratio in g/kg',
      () => relativeHumidityPct({ temperatureC: 20, humidityRatioKgPerKg: 7.3, pressureKpa: 101 }),
      'humidityRatioKgPerKg must be 0 to 1 kg/kg, got 7.3',
    ],
  ])('%s', (_, refused, message) => {
    expect(refused).toThrow(RangeError)
    expect(refused).toThrow(message)
  })
})
