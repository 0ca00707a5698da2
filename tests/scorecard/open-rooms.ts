import type { RoomCell } from '../../services/core/learn/learn-room-nights.ts'
import { numberIn, referenceTable } from '../parts/reference-table.ts'

/** A measured room of the open data in tests/reference/data (sources and licences in LICENSES.md there). */
export interface OpenRoom {
  readonly title: string
  /** Hour of the day, on the file's own clock, from which the night is forecast. */
  readonly originHour: number
  /** In order of time. The files name no zone; their clock is taken as it stands. */
  readonly cells: readonly RoomCell[]
}

interface Source {
  readonly title: string
  readonly file: string
  readonly temperature: string
  readonly humidity: string
  readonly originHour: number
}

const OFFICE = { temperature: 'office_temperature_c', humidity: 'office_rh_percent' }
const IRONING = { temperature: 'ironing_temperature_c', humidity: 'ironing_rh_percent' }
const TWO_HOURLY = { file: 'house_2hourly_full.csv', originHour: 18 }
const TEN_MINUTES = { file: 'house_10min_2000.csv', originHour: 19 }

/** The room that the forecast's one constant was tuned on. */
export const TUNED_ON: Source = { title: 'house, office (tuned on)', ...OFFICE, ...TWO_HOURLY }
/** Rooms that it was not tuned on. */
export const UNTOUCHED: readonly Source[] = [
  { title: 'house, ironing room', ...IRONING, ...TWO_HOURLY },
  {
    title: 'another building, office',
    file: 'occupancy_office_15min.csv',
    temperature: 'temperature_c',
    humidity: 'rh_percent',
    originHour: 19,
  },
]
export const WHOLE_WINTER: readonly Source[] = [TUNED_ON, ...UNTOUCHED.slice(0, 1)]
/** The first two weeks of the two rooms of the house, closer in time: the same air again, so it is not pooled. */
export const SAME_AIR: readonly Source[] = [
  { title: 'house, office, 10 min', ...OFFICE, ...TEN_MINUTES },
  { title: 'house, ironing room, 10 min', ...IRONING, ...TEN_MINUTES },
]

export function openRoom({ title, file, temperature, humidity, originHour }: Source): OpenRoom {
  const cells = referenceTable(file).map((row) => ({
    atMs: Date.parse(`${row.get('timestamp_local')}Z`),
    temperatureC: numberIn(row, temperature),
    humidityPct: numberIn(row, humidity),
  }))
  return { title, originHour, cells }
}
