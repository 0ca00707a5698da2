import type { HistoryBand, HistoryGrid, RoomHistory } from '../../model/history-view.ts'
import type { SeriesPoint } from '../../model/ports/records.ts'
import { dewPointC, vapourPressureDeficitKpa } from '../../physics/air.ts'
import { bandOf, joinBands, roundedBand } from './grid.ts'

type Air = Pick<RoomHistory, 'humidityPct' | 'temperatureC' | 'vpdKpa' | 'dewPointC'>
type Sensors = readonly (readonly SeriesPoint[])[]

/** The air of a room out of its sensors. */
export function airOf(sensors: { humidity: Sensors; temperature: Sensors }, grid: HistoryGrid): Air {
  const humidityPct = bandOf(sensors.humidity, grid, toHumidity)
  const temperatureC = bandOf(sensors.temperature, grid)
  return {
    humidityPct: roundedBand(humidityPct, 2),
    temperatureC: roundedBand(temperatureC, 2),
    vpdKpa: roundedBand(deficitBand(temperatureC, humidityPct), 3),
    dewPointC: roundedBand(dewPointBand(temperatureC, humidityPct), 2),
  }
}

/** A sensor may read a little outside what there is. */
function toHumidity(pct: number): number {
  return Math.min(100, Math.max(0, pct))
}

/** Warm and dry air is the thirstiest, cold and damp air the least. */
function deficitBand(temperatureC: HistoryBand, humidityPct: HistoryBand): HistoryBand {
  const deficit = (t: number, rh: number): number | null =>
    within(t) ? vapourPressureDeficitKpa({ temperatureC: t, humidityPct: rh }) : null
  return joinBands(temperatureC, humidityPct, {
    low: (t, rh) => deficit(t.low, rh.high),
    mean: (t, rh) => deficit(t.mean, rh.mean),
    high: (t, rh) => deficit(t.high, rh.low),
    last: (t, rh) => deficit(t.last, rh.last),
  })
}

/** The dew point rises with both. */
function dewPointBand(temperatureC: HistoryBand, humidityPct: HistoryBand): HistoryBand {
  const dew = (t: number, rh: number): number | null =>
    within(t) && rh > 0 ? dewPointC({ temperatureC: t, humidityPct: rh }) : null
  return joinBands(temperatureC, humidityPct, {
    low: (t, rh) => dew(t.low, rh.low),
    mean: (t, rh) => dew(t.mean, rh.mean),
    high: (t, rh) => dew(t.high, rh.high),
    last: (t, rh) => dew(t.last, rh.last),
  })
}

/** Of a failing probe the formulas would refuse what it says. */
function within(temperatureC: number): boolean {
  return temperatureC >= -40 && temperatureC <= 60
}
