import { DAY_SLOT_MS, SLOTS_A_DAY, type RoomNights } from '../model/learned/room-nights.ts'

const DAY_MS = 86_400_000
/** Longest stretch between two measured slots that a straight line bridges: 2 h; a starting value. */
const BRIDGE_SLOTS = 4

/** One quantity over all remembered days without a break in the calendar; NaN where nobody knows. */
export type PastLine = Float64Array

export interface PastDays {
  /** Calendar days from the first to the last, those that nobody measured among them. */
  readonly dayCount: number
  readonly temperatureC: PastLine
  readonly humidityPct: PastLine
}

/**
 * PAST-1 the days stand one after the other in slots of the wall clock, so that a night runs across midnight.
 * PAST-2 a hole of up to 2 h between two measured slots is bridged by a straight line; a longer one stays a hole.
 */
export function pastDaysOf({ days }: Pick<RoomNights, 'days'>): PastDays {
  const numbers = days.map(({ date }) => Date.parse(date) / DAY_MS)
  const first = Math.min(...numbers)
  const dayCount = days.length === 0 ? 0 : Math.max(...numbers) - first + 1
  const lineOf = (quantity: 'temperatureC' | 'humidityPct') => {
    const line = new Float64Array(dayCount * SLOTS_A_DAY).fill(NaN)
    days.forEach((day, at) => {
      const start = ((numbers[at] ?? first) - first) * SLOTS_A_DAY
      day[quantity].forEach((value, slot) => (line[start + slot] = value ?? NaN))
    })
    bridgeHoles(line)
    return line
  }
  return { dayCount, temperatureC: lineOf('temperatureC'), humidityPct: lineOf('humidityPct') }
}

function bridgeHoles(line: PastLine): void {
  let known = -1
  for (let at = 0; at < line.length; at++) {
    const value = line[at] ?? NaN
    if (Number.isNaN(value)) continue
    const distance = at - known
    if (known >= 0 && distance > 1 && distance <= BRIDGE_SLOTS) {
      const from = line[known] ?? NaN
      for (let k = 1; k < distance; k++) line[known + k] = from + ((value - from) * k) / distance
    }
    known = at
  }
}

/** Where a wall clock's reading stands in a day: in slots from the midnight of day number `day` since 1970. */
export function slotOf(wallMs: number, day: number): number {
  return (wallMs - day * DAY_MS) / DAY_SLOT_MS
}

export function dayOf(wallMs: number): number {
  return Math.floor(wallMs / DAY_MS)
}

/** The value at `slot` (may be a fraction, may lie beyond midnight) of remembered day `day`; NaN where nobody knows. */
export function valueAt(line: PastLine, day: number, slot: number): number {
  const position = day * SLOTS_A_DAY + slot
  const below = Math.floor(position)
  const low = line[below] ?? NaN
  const part = position - below
  return part === 0 ? low : low + part * ((line[below + 1] ?? NaN) - low)
}

/** Is every slot known from `fromSlot` to `toSlot` of remembered day `day`? */
export function isWhole(line: PastLine, day: number, fromSlot: number, toSlot: number): boolean {
  const from = day * SLOTS_A_DAY + Math.floor(fromSlot)
  const to = day * SLOTS_A_DAY + Math.ceil(toSlot)
  for (let at = from; at <= to; at++) if (Number.isNaN(line[at] ?? NaN)) return false
  return true
}
