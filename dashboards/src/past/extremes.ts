import { NBSP } from '../words/quantity-text.ts'
import { dayAndTime, shortTime } from './time-words.ts'
import type { Track, TrackLine } from './tracks.ts'

const YEAR_MS = 366 * 86_400_000

/**
 * The lowest and highest of a line over all that is shown, in words: what a single peak would be lost without.
 *
 * PEAK-1 the extremes told are those of the stretches, never of their means.
 */
export function extremesWords(
  { label, band, grid }: TrackLine,
  { unit, digits }: Pick<Track, 'unit' | 'digits'>,
  timeZone: string,
): string {
  let [lowAt, highAt] = [-1, -1]
  grid.startsMs.forEach((_, at) => {
    const [low, high] = [band.low[at], band.high[at]]
    if (low == null || high == null) return
    if (lowAt < 0 || low < (band.low[lowAt] ?? low)) lowAt = at
    if (highAt < 0 || high > (band.high[highAt] ?? high)) highAt = at
  })
  const [lowest, highest] = [band.low[lowAt], band.high[highAt]]
  if (lowest == null || highest == null) return `${label}: nothing was measured`
  const value = (v: number): string => v.toFixed(digits).replace(/^-(0(?:\.0*)?)$/, '$1')
  // Over more than a year a day and a month are not enough.
  const told = grid.startsMs.length * grid.widthMs > YEAR_MS ? dayAndTime : shortTime
  const at = (place: number): string => told(grid.startsMs[place] ?? 0, timeZone)
  if (value(lowest) === value(highest)) return `${label}: ${value(lowest)}${NBSP}${unit} throughout`
  return `${label}: lowest ${value(lowest)}${NBSP}${unit} (${at(lowAt)}), highest ${value(highest)}${NBSP}${unit} (${at(highAt)})`
}
