import {
  humidityRatioKgPerKg,
  saturationVapourPressureOverWaterKpa,
  STANDARD_PRESSURE_KPA,
} from '../../services/core/physics/air.ts'
import type { Chance, Stream } from './chance.ts'

export interface OutdoorAir {
  readonly temperatureC: number
  readonly humidityPct: number
  readonly humidityRatioKgPerKg: number
}

export interface Weather {
  /** Outdoor air at an instant: a pure function of seed and time. */
  readonly at: (atMs: number) => OutdoorAir
}

const HOUR = 3_600_000
const DAY = 24 * HOUR
const YEAR = 365.2425 * DAY
/** Fronts are drawn every 3 h and remembered for about two days. */
const KNOT = 3 * HOUR
const MEMORY = Math.exp(-KNOT / (48 * HOUR))
/** Knots after which nothing worth counting is remembered: 0.0067 of a draw. */
const KNOTS_BACK = 80
/** The coldest day, about 20 January, and the warmest hour, about 14:30 UTC; starting values for the Low Countries. */
const COLDEST = 20 * DAY
const WARMEST_HOUR = 14.5 * HOUR

/** Weather of a mild northern coast: season, day and night, and fronts as a first-order autoregression. */
export function createWeather(chance: Chance): Weather {
  const warmth = createFronts(chance.stream('weather/warmth'))
  const moisture = createFronts(chance.stream('weather/moisture'))

  return {
    at: (atMs) => {
      const summer = (1 - Math.cos((2 * Math.PI * (atMs - COLDEST)) / YEAR)) / 2
      const hours = Math.cos((2 * Math.PI * (atMs - WARMEST_HOUR)) / DAY)
      const dayMeanC = 3.2 + 15 * summer + 3 * warmth(atMs)
      const temperatureC = dayMeanC + (1.5 + 3 * summer) * hours
      // Through a day the water in the air hardly changes: humidity falls because the air warms.
      const dewC = dayMeanC - (2.4 + 3 * summer) + 1.6 * moisture(atMs)
      const saturatedShare =
        saturationVapourPressureOverWaterKpa(dewC) / saturationVapourPressureOverWaterKpa(temperatureC)
      const humidityPct = Math.min(99, 100 * saturatedShare)
      const air = { temperatureC, humidityPct, pressureKpa: STANDARD_PRESSURE_KPA }
      return { temperatureC, humidityPct, humidityRatioKgPerKg: humidityRatioKgPerKg(air) }
    },
  }
}

/** AR(1) of deviation 1 on fixed knots, straight lines between them. Truncated, so that no knot needs a beginning. */
function createFronts(stream: Stream): (atMs: number) => number {
  const spread = Math.sqrt(1 - MEMORY ** 2)
  const known = new Map<number, number>()
  const knotAt = (knot: number): number => {
    const kept = known.get(knot)
    if (kept !== undefined) return kept
    let sum = 0
    for (let back = KNOTS_BACK; back >= 0; back--) sum = MEMORY * sum + spread * stream.normalAt(knot - back)
    if (known.size > 4000) known.clear()
    known.set(knot, sum)
    return sum
  }
  return (atMs) => {
    const knot = Math.floor(atMs / KNOT)
    const part = atMs / KNOT - knot
    return knotAt(knot) * (1 - part) + knotAt(knot + 1) * part
  }
}
