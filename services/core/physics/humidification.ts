import { humidityRatioKgPerKg, STANDARD_PRESSURE_KPA, vapourPressureKpa, type Air } from './air.ts'

/** Gas constant of dry air, J/(kg K): ASHRAE Fundamentals 2017, chapter 1, eq. 1. */
const DRY_AIR_GAS_CONSTANT = 287.042
const KELVIN_AT_0C = 273.15

/**
 * Dry air in a cubic metre of moist air, kg: what a humidity ratio is counted on. ASHRAE Fundamentals 2017,
 * chapter 1, eq. 26 turned round (the reciprocal of the specific volume).
 *
 * @example dryAirDensityKgPerM3({ temperatureC: 21, humidityPct: 45 }) // 1.187
 * @throws {RangeError} if the air is refused (see `vapourPressureKpa`).
 */
export function dryAirDensityKgPerM3(air: Air, pressureKpa = STANDARD_PRESSURE_KPA): number {
  const dryPa = (pressureKpa - vapourPressureKpa(air)) * 1000
  return dryPa / (DRY_AIR_GAS_CONSTANT * (air.temperatureC + KELVIN_AT_0C))
}

export interface HumidificationCase {
  /** Dry air in a cubic metre, kg. */
  readonly densityKgPerM3: number
  /** Outdoor air that comes in an hour, m3: volume times air changes, or what a fan brings. */
  readonly outdoorM3PerH: number
  /** Humidity ratio wanted indoors and found outdoors, kg/kg. */
  readonly insideKgPerKg: number
  readonly outsideKgPerKg: number
  /** Moisture that people and work give off, and that is lost otherwise; kg/h. Zero unless known. */
  readonly gainsKgPerH?: number
  readonly lossesKgPerH?: number
}

/**
 * Water that holds a room's air where it is wanted, kg/h: H = rho V R (Wi - Wo) - S + L, the humidification load of the
 * ASHRAE Handbook (HVAC Systems and Equipment, Humidifiers). Negative: the air must be dried.
 *
 * @throws {RangeError} if a number is NaN, or density or air flow are below 0.
 */
export function humidificationLoadKgPerH(load: HumidificationCase): number {
  const { densityKgPerM3, outdoorM3PerH, insideKgPerKg, outsideKgPerKg } = load
  if (!(densityKgPerM3 >= 0)) throw new RangeError(`densityKgPerM3 must be 0 or more, got ${densityKgPerM3}`)
  if (!(outdoorM3PerH >= 0)) throw new RangeError(`outdoorM3PerH must be 0 or more, got ${outdoorM3PerH}`)
  const { gainsKgPerH = 0, lossesKgPerH = 0 } = load
  const loadKgPerH =
    densityKgPerM3 * outdoorM3PerH * (insideKgPerKg - outsideKgPerKg) - gainsKgPerH + lossesKgPerH
  if (Number.isNaN(loadKgPerH)) throw new RangeError('humidity ratios, gains and losses must be numbers')
  return loadKgPerH
}

export interface HumidifiedRoom {
  readonly volumeM3: number
  /** The room's air now. */
  readonly air: Air
  /** Humidity wanted at the same temperature, %RH. */
  readonly targetPct: number
  readonly pressureKpa?: number
}

/**
 * Water that lifts the room's air once from what it is to the target, kg; 0 when it is there already. Walls, film and
 * paper take up their part besides, so in practice it is more.
 *
 * @example waterToLiftKg({ volumeM3: 60, air: { temperatureC: 21, humidityPct: 30 }, targetPct: 45 }) // 0.166
 * @throws {RangeError} if the volume is not above 0, or air or target are refused.
 */
export function waterToLiftKg({ volumeM3, air, targetPct, pressureKpa }: HumidifiedRoom): number {
  checkVolume(volumeM3)
  const { densityKgPerM3, insideKgPerKg } = wantedAir(air.temperatureC, targetPct, pressureKpa)
  const here = humidityRatioKgPerKg({ ...air, pressureKpa: pressureKpa ?? STANDARD_PRESSURE_KPA })
  return Math.max(0, densityKgPerM3 * volumeM3 * (insideKgPerKg - here))
}

/**
 * Water that holds the target against the outdoor air that comes in, kg/h; 0 when that air brings enough.
 *
 * @throws {RangeError} if the volume is not above 0, air changes are below 0, or air or target are refused.
 */
export function waterToHoldKgPerH(
  room: Omit<HumidifiedRoom, 'air'> & {
    readonly temperatureC: number
    readonly outdoorAir: Air
    readonly airChangesPerH: number
    readonly gainsKgPerH?: number
  },
): number {
  checkVolume(room.volumeM3)
  const { pressureKpa = STANDARD_PRESSURE_KPA, gainsKgPerH = 0 } = room
  const loadKgPerH = humidificationLoadKgPerH({
    ...wantedAir(room.temperatureC, room.targetPct, pressureKpa),
    outdoorM3PerH: room.volumeM3 * room.airChangesPerH,
    outsideKgPerKg: humidityRatioKgPerKg({ ...room.outdoorAir, pressureKpa }),
    gainsKgPerH,
  })
  return Math.max(0, loadKgPerH)
}

function wantedAir(temperatureC: number, humidityPct: number, pressureKpa = STANDARD_PRESSURE_KPA) {
  return {
    densityKgPerM3: dryAirDensityKgPerM3({ temperatureC, humidityPct }, pressureKpa),
    insideKgPerKg: humidityRatioKgPerKg({ temperatureC, humidityPct, pressureKpa }),
  }
}

function checkVolume(volumeM3: number): void {
  if (!(volumeM3 > 0)) throw new RangeError(`volumeM3 must be above 0, got ${volumeM3}`)
}
