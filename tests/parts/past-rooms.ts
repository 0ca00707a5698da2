import { SLOTS_A_DAY, type RoomNights } from '../../services/core/model/learned/room-nights.ts'

type Day = RoomNights['days'][number]
/** What the air does at hour `hour` (0 to 23.5) of the `day`-th day. */
export type AirOfDay = (day: number, hour: number) => number | null

const DAY_MS = 86_400_000

/** Remembered days of an invented room, from 1 March 2026 on. */
export function pastDays(count: number, humidityPct: AirOfDay, temperatureC: AirOfDay = () => 22): Day[] {
  const first = Date.parse('2026-03-01')
  return Array.from({ length: count }, (_, day) => ({
    date: new Date(first + day * DAY_MS).toISOString().slice(0, 10),
    humidityPct: Array.from({ length: SLOTS_A_DAY }, (_, slot) => humidityPct(day, slot / 2)),
    temperatureC: Array.from({ length: SLOTS_A_DAY }, (_, slot) => temperatureC(day, slot / 2)),
  }))
}
