import { dayOf, slotOf } from '../forecast/past-days.ts'
import { createWallClock } from '../forecast/wall-clock.ts'
import { FORECAST_GRID_MS, SLOTS_A_DAY, type RoomNights } from '../model/learned/room-nights.ts'

/** Names the method; a change of it makes another version. */
export const ROOM_NIGHTS_VERSION = 'room-nights-1'
const DAY_MS = 86_400_000
const MAX_DAYS = 28
/** A date with less than 2 h measured is left out. A starting value. */
const LEAST_SLOTS = 4

/** The room's mean air over the 15 min from `atMs`; null where nobody measured. */
export interface RoomCell {
  readonly atMs: number
  readonly temperatureC: number | null
  readonly humidityPct: number | null
}

export interface RoomPast {
  readonly roomId: string
  /** In any order; gaps are simply not there. Cells at or after `toMs` and older than 28 days are not looked at. */
  readonly cells: readonly RoomCell[]
  /** When it is learned. The running day is remembered as far as it has come. */
  readonly toMs: number
  readonly timeZone: string
}

interface Sums {
  readonly temperatureC: Slots
  readonly humidityPct: Slots
}
interface Slots {
  readonly sum: Float64Array
  readonly count: Float64Array
}

/**
 * What the forecast remembers of a room: its last 28 calendar days in half-hour slots of the wall clock. Values that
 * are no air (humidity outside 0 to 100 %RH, temperature outside -60 to 90 degC, not a number) count as not measured.
 * Null when nothing was measured.
 */
export function learnRoomNights({ roomId, cells, toMs, timeZone }: RoomPast): RoomNights | null {
  const fromMs = toMs - MAX_DAYS * DAY_MS
  const wallClock = createWallClock({ timeZone, fromMs, toMs })
  const days = new Map<number, Sums>()
  for (const cell of cells) {
    if (cell.atMs < fromMs || cell.atMs >= toMs) continue
    // Slot i is centred on i x 30 min: it holds the cell before that time and the cell after it.
    const wallMs = wallClock(cell.atMs) + FORECAST_GRID_MS
    const day = dayOf(wallMs)
    const slot = Math.floor(slotOf(wallMs, day))
    const sums = days.get(day) ?? { temperatureC: emptySlots(), humidityPct: emptySlots() }
    days.set(day, sums)
    add(sums.temperatureC, slot, within(cell.temperatureC, -60, 90))
    add(sums.humidityPct, slot, within(cell.humidityPct, 0, 100))
  }
  const kept = [...days]
    .filter(([, { humidityPct }]) => humidityPct.count.filter((n) => n > 0).length >= LEAST_SLOTS)
    .sort(([a], [b]) => a - b)
    .slice(-MAX_DAYS)
    .map(([day, sums]) => ({
      date: dateOf(day),
      temperatureC: means(sums.temperatureC),
      humidityPct: means(sums.humidityPct),
    }))
  if (kept.length === 0) return null
  return { kind: 'roomNights', subjectId: roomId, fromMs, toMs, version: ROOM_NIGHTS_VERSION, days: kept }
}

function emptySlots(): Slots {
  return { sum: new Float64Array(SLOTS_A_DAY), count: new Float64Array(SLOTS_A_DAY) }
}

function within(value: number | null, least: number, most: number): number | null {
  return value !== null && value >= least && value <= most ? value : null
}

function add({ sum, count }: Slots, slot: number, value: number | null): void {
  if (value === null) return
  sum[slot] = (sum[slot] ?? 0) + value
  count[slot] = (count[slot] ?? 0) + 1
}

/** Two decimals are finer than any sensor and keep the value small. */
function means({ sum, count }: Slots): (number | null)[] {
  return Array.from(sum, (total, slot) => {
    const n = count[slot] ?? 0
    return n === 0 ? null : Math.round((total / n) * 100) / 100
  })
}

function dateOf(day: number): string {
  return new Date(day * DAY_MS).toISOString().slice(0, 10)
}
