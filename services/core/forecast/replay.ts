import { valueAt, type PastLine } from './past-days.ts'

/**
 * A room leans back towards its usual air. How much, is learned from few nights, so it counts as if this many further
 * nights had shown no leaning at all. A starting value, tuned on one room of open data (see tests/scorecard).
 */
const NIGHTS_WITHOUT_LEANING = 14

/** A stretch of the grid within which each path replays one past day. */
export interface Leg {
  /** Points of the grid, both ends included; the first is the last of the leg before. */
  readonly first: number
  readonly last: number
  /** Where each point stands, in slots from the midnight at or before the leg's first point. */
  readonly slots: Float64Array
}

/** One quantity, one leg: which past day each path replays, and the lines to be filled, one a path. */
export interface Replay {
  readonly line: PastLine
  readonly leg: Leg
  /** Past days that are whole over the leg. */
  readonly days: readonly number[]
  /** For each path the past day that it replays. */
  readonly replayed: readonly number[]
  readonly paths: readonly number[][]
}

/**
 * Carries each path through the leg, from where it stands at the leg's first point:
 * usual change at this time of day + leaning x (how far it starts from the usual start) + what was left over on the
 * past day that it replays. The first two are one straight line through the past days' (start, change); the leaning is
 * between -1 (all forgotten) and 0 (kept).
 */
export function replayLeg({ line, leg, days, replayed, paths }: Replay): void {
  const starts = days.map((day) => valueAt(line, day, leg.slots[0] ?? NaN))
  const usualStart = mean(starts)
  const spread = sumOf(starts, (s) => (s - usualStart) ** 2)
  const pathStarts = paths.map((path) => path[leg.first] ?? NaN)
  const replayedAt = replayed.map((day) => days.indexOf(day))
  // What is left over lies too close to a line of two numbers fitted to so few days; n - 2 degrees of freedom mend that.
  const widening = Math.sqrt(days.length / (days.length - 2))
  for (let at = 1; at < leg.slots.length; at++) {
    const slot = leg.slots[at] ?? NaN
    const changes = days.map((day, k) => valueAt(line, day, slot) - (starts[k] ?? NaN))
    const usualChange = mean(changes)
    const slope = sumOf(changes, (c, k) => (c - usualChange) * ((starts[k] ?? NaN) - usualStart)) / spread
    const trust = days.length / (days.length + NIGHTS_WITHOUT_LEANING)
    const leaning = spread > 0 ? Math.max(-1, Math.min(0, slope * trust)) : 0
    const expected = (start: number) => usualChange + leaning * (start - usualStart)
    paths.forEach((path, k) => {
      const day = replayedAt[k] ?? NaN
      const leftOver = (changes[day] ?? NaN) - expected(starts[day] ?? NaN)
      const start = pathStarts[k] ?? NaN
      path[leg.first + at] = start + expected(start) + widening * leftOver
    })
  }
}

function mean(values: readonly number[]): number {
  return sumOf(values, (v) => v) / values.length
}

function sumOf(values: readonly number[], of: (value: number, at: number) => number): number {
  let sum = 0
  for (let at = 0; at < values.length; at++) sum += of(values[at] ?? NaN, at)
  return sum
}
