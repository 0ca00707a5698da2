/**
 * Moist air. Temperatures in degC, pressures in kPa, humidity in %RH, always over liquid water (see below).
 *
 * Relative humidity is defined over water at every air temperature, frost or not (WMO convention, Guide to
 * Instruments, WMO-No. 8): that is what sensors report. So vapour pressure from a reading always uses
 * `saturationVapourPressureOverWaterKpa`, and dew point and frost point are two functions.
 */

/** Standard atmosphere at sea level (ASHRAE Fundamentals 2017, chapter 1, table 1). */
export const STANDARD_PRESSURE_KPA = 101.325

export interface Air {
  readonly temperatureC: number
  readonly humidityPct: number
}

const KELVIN_AT_0C = 273.15
const TRIPLE_POINT_C = 0.01
const COLDEST_C = -100
const HOTTEST_C = 200
/** Mass of a molecule of water to one of dry air (ASHRAE Fundamentals 2017, chapter 1, eq. 20). */
const WATER_TO_AIR = 0.621945
/** Gas constant of water vapour, J/(kg K): 8.314462618 J/(mol K) over 18.015268 g/mol. */
const VAPOUR_GAS_CONSTANT = 461.523

/** ln(Pa) as C0/T + C1 + C2 T + C3 T^2 + C4 T^3 + C5 T^4 + C6 ln T, T in kelvin. */
type LogCurve = readonly [number, number, number, number, number, number, number]

/** Hyland and Wexler 1983, as ASHRAE Fundamentals 2017, chapter 1, eq. 6 (water) and eq. 5 (ice). */
const WATER: LogCurve = [-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 0, 6.5459673]
const ICE: LogCurve = [
  -5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019,
]

/**
 * Saturation vapour pressure in kPa over what is stable: liquid water at and above 0.01 degC, ice below it.
 * For air with a humidity reading use `saturationVapourPressureOverWaterKpa`.
 *
 * @example saturationVapourPressureKpa(25) // 3.1692
 * @throws {RangeError} if `temperatureC` is NaN or outside -100 to 200.
 */
export function saturationVapourPressureKpa(temperatureC: number): number {
  checkRange('temperatureC', temperatureC, COLDEST_C, HOTTEST_C, 'degC')
  return pressureKpaOf(temperatureC < TRIPLE_POINT_C ? ICE : WATER, temperatureC)
}

/**
 * Saturation vapour pressure in kPa over liquid water, supercooled below 0 degC: what 100 %RH means in air of
 * any temperature. Against IAPWS-95 within 0.03 % from 0 to 40 degC; below 0 degC the curve is extrapolated,
 * within 0.5 % of the WMO-8 Magnus form down to -40 degC, and below -50 degC nothing measured stands behind it.
 *
 * @example saturationVapourPressureOverWaterKpa(-10) // 0.2866; over ice it is 0.2599
 * @throws {RangeError} if `temperatureC` is NaN or outside -100 to 200.
 */
export function saturationVapourPressureOverWaterKpa(temperatureC: number): number {
  checkRange('temperatureC', temperatureC, COLDEST_C, HOTTEST_C, 'degC')
  return pressureKpaOf(WATER, temperatureC)
}

/**
 * Partial pressure of the water vapour in the air, in kPa: FAO-56 eq. 19 for a single reading.
 *
 * @throws {RangeError} if `humidityPct` is NaN or outside 0 to 100, or the temperature is refused.
 */
export function vapourPressureKpa({ temperatureC, humidityPct }: Air): number {
  checkRange('humidityPct', humidityPct, 0, 100, '%RH')
  return (saturationVapourPressureOverWaterKpa(temperatureC) * humidityPct) / 100
}

/**
 * Vapour pressure deficit in kPa: how much drier the air is than saturated air at its temperature.
 * High means wet things dry quickly; 0 means air that can take up nothing more. FAO-56, chapter 3.
 *
 * @example vapourPressureDeficitKpa({ temperatureC: 25, humidityPct: 40 }) // 1.9015
 * @throws {RangeError} if `humidityPct` is NaN or outside 0 to 100, or the temperature is refused.
 */
export function vapourPressureDeficitKpa({ temperatureC, humidityPct }: Air): number {
  checkRange('humidityPct', humidityPct, 0, 100, '%RH')
  return saturationVapourPressureOverWaterKpa(temperatureC) * (1 - humidityPct / 100)
}

/**
 * Dew point in degC: the temperature at which this air, cooled at constant pressure, is saturated over liquid
 * water. Below 0 degC it is the dew point over supercooled water, which weather services report; frost forms
 * a little earlier, at `frostPointC`.
 *
 * @example dewPointC({ temperatureC: 22, humidityPct: 20 }) // -1.97, while the frost point is -1.74
 * @throws {RangeError} if `humidityPct` is NaN, 0 (dry air has no dew point), above 100, or so small that the
 *   dew point lies below -100 degC; or if the temperature is refused.
 */
export function dewPointC(air: Air): number {
  return saturationTemperatureC(WATER, air)
}

/**
 * Frost point in degC: the temperature at which this air, cooled at constant pressure, is saturated over ice.
 * Above freezing there is no frost: null when the air meets its dew point first, at 0.01 degC or above.
 *
 * @example frostPointC({ temperatureC: 22, humidityPct: 20 }) // -1.74
 * @throws {RangeError} as `dewPointC`.
 */
export function frostPointC(air: Air): number | null {
  const frostC = saturationTemperatureC(ICE, air)
  return frostC < TRIPLE_POINT_C ? frostC : null
}

/**
 * Humidity ratio in kg of water vapour per kg of dry air: what stays the same when air is warmed or cooled
 * without adding water. ASHRAE Fundamentals 2017, chapter 1, eq. 20.
 *
 * @example humidityRatioKgPerKg({ temperatureC: 20, humidityPct: 50, pressureKpa: 101.325 }) // 0.0072617
 * @throws {RangeError} if `humidityPct` is NaN or outside 0 to 100, `pressureKpa` outside 30 to 120, the
 *   temperature is refused, or the vapour alone would reach the total pressure (boiling).
 */
export function humidityRatioKgPerKg({
  pressureKpa,
  ...air
}: Air & { readonly pressureKpa: number }): number {
  checkRange('pressureKpa', pressureKpa, 30, 120, 'kPa')
  const vapourKpa = vapourPressureKpa(air)
  if (!(vapourKpa < pressureKpa)) {
    throw new RangeError(
      `temperatureC and humidityPct must keep the vapour below pressureKpa ${pressureKpa}, got ${vapourKpa} kPa`,
    )
  }
  return (WATER_TO_AIR * vapourKpa) / (pressureKpa - vapourKpa)
}

/**
 * Relative humidity in %RH, over water, of air with this humidity ratio: the inverse of `humidityRatioKgPerKg`.
 * Above 100 means more water than the air can hold: the rest condenses.
 *
 * @example relativeHumidityPct({ temperatureC: 21, humidityRatioKgPerKg: 0.0030156, pressureKpa: 101.325 }) // 19.7
 * @throws {RangeError} if `humidityRatioKgPerKg` is NaN or outside 0 to 1, `pressureKpa` outside 30 to 120, or
 *   the temperature is refused.
 */
export function relativeHumidityPct(air: {
  readonly temperatureC: number
  readonly humidityRatioKgPerKg: number
  readonly pressureKpa: number
}): number {
  checkRange('humidityRatioKgPerKg', air.humidityRatioKgPerKg, 0, 1, 'kg/kg')
  checkRange('pressureKpa', air.pressureKpa, 30, 120, 'kPa')
  const vapourKpa = (air.pressureKpa * air.humidityRatioKgPerKg) / (WATER_TO_AIR + air.humidityRatioKgPerKg)
  return (vapourKpa / saturationVapourPressureOverWaterKpa(air.temperatureC)) * 100
}

/**
 * Absolute humidity in g of water vapour per m3 of moist air: the vapour as an ideal gas.
 *
 * @example absoluteHumidityGPerM3({ temperatureC: 20, humidityPct: 50 }) // 8.64
 * @throws {RangeError} if `humidityPct` is NaN or outside 0 to 100, or the temperature is refused.
 */
export function absoluteHumidityGPerM3(air: Air): number {
  return (vapourPressureKpa(air) * 1e6) / (VAPOUR_GAS_CONSTANT * (air.temperatureC + KELVIN_AT_0C))
}

function pressureKpaOf(curve: LogCurve, temperatureC: number): number {
  return Math.exp(logPaOf(curve, temperatureC + KELVIN_AT_0C)) / 1000
}

function logPaOf([a, b, c, d, e, f, g]: LogCurve, kelvin: number): number {
  return a / kelvin + b + kelvin * (c + kelvin * (d + kelvin * (e + kelvin * f))) + g * Math.log(kelvin)
}

/** Where the curve meets the air's vapour pressure. ln p against T is smooth and rising: Newton takes a few steps. */
function saturationTemperatureC(curve: LogCurve, air: Air): number {
  const vapourKpa = vapourPressureKpa(air)
  const wanted = Math.log(vapourKpa * 1000)
  if (!(wanted >= logPaOf(curve, COLDEST_C + KELVIN_AT_0C))) {
    throw new RangeError(
      `humidityPct must be above 0 and give a dew point of -100 degC or more, got ${air.humidityPct}`,
    )
  }
  let kelvin = air.temperatureC + KELVIN_AT_0C
  for (let step = 0; step < 50; step++) {
    const change = (logPaOf(curve, kelvin) - wanted) / slopeOf(curve, kelvin)
    kelvin -= change
    if (Math.abs(change) < 1e-9) break
  }
  return kelvin - KELVIN_AT_0C
}

function slopeOf([a, , c, d, e, f, g]: LogCurve, kelvin: number): number {
  return -a / kelvin ** 2 + c + kelvin * (2 * d + kelvin * (3 * e + kelvin * 4 * f)) + g / kelvin
}

/** Written so that NaN fails. */
function checkRange(name: string, value: number, least: number, most: number, unit: string): void {
  if (!(value >= least && value <= most))
    throw new RangeError(`${name} must be ${least} to ${most} ${unit}, got ${value}`)
}
