import type { HistoryBand, HistoryGrid } from '../../model/history-view.ts'
import type { SeriesPoint } from '../../model/ports/records.ts'

/** Stretches of one width that cover a window, from a multiple of the width on. */
export function gridOver({ fromMs, toMs }: { fromMs: number; toMs: number }, widthMs: number): HistoryGrid {
  const firstMs = Math.floor(fromMs / widthMs) * widthMs
  const count = Math.max(1, Math.ceil((toMs - firstMs) / widthMs))
  return { widthMs, startsMs: Array.from({ length: count }, (_, i) => firstMs + i * widthMs) }
}

/** Where in the grid a time lies; it may lie outside. */
export function placeIn({ startsMs, widthMs }: HistoryGrid, atMs: number): number {
  return Math.floor((atMs - (startsMs[0] ?? 0)) / widthMs)
}

export function emptyBand({ startsMs }: HistoryGrid): HistoryBand {
  const none = (): null[] => startsMs.map(() => null)
  return { low: none(), mean: none(), high: none() }
}

/** A stretch of one sensor, or of several of one quantity as one. */
type Stretch = Pick<SeriesPoint, 'atMs' | 'min' | 'mean' | 'max'>

/**
 * Stretches laid on the grid, each value turned by `turn`. Where several sensors measured the same stretch, the band
 * holds them all and the mean is the mean of their means.
 */
export function bandOf(
  sensors: readonly (readonly Stretch[])[],
  grid: HistoryGrid,
  turn: (value: number) => number = (value) => value,
): HistoryBand {
  const band = emptyBand(grid)
  const counts = grid.startsMs.map(() => 0)
  for (const { atMs, min, mean, max } of sensors.flat()) {
    const at = placeIn(grid, atMs)
    if (at < 0 || at >= counts.length) continue
    const [a, b] = [turn(min), turn(max)]
    const n = (counts[at] = (counts[at] ?? 0) + 1)
    band.low[at] = Math.min(band.low[at] ?? Infinity, a, b)
    band.high[at] = Math.max(band.high[at] ?? -Infinity, a, b)
    band.mean[at] = ((band.mean[at] ?? 0) * (n - 1) + turn(mean)) / n
  }
  return band
}

/** A band out of two, place by place; null where either has none, or where there is no answer. */
export function joinBands(
  a: HistoryBand,
  b: HistoryBand,
  join: { low: Join; mean: Join; high: Join },
): HistoryBand {
  const each = (which: 'low' | 'mean' | 'high'): (number | null)[] =>
    a.mean.map((_, at) => {
      const [first, second] = [extremesAt(a, at), extremesAt(b, at)]
      return first && second ? join[which](first, second) : null
    })
  return { low: each('low'), mean: each('mean'), high: each('high') }
}

export interface Extremes {
  readonly low: number
  readonly mean: number
  readonly high: number
}
type Join = (a: Extremes, b: Extremes) => number | null

function extremesAt({ low, mean, high }: HistoryBand, at: number): Extremes | null {
  const [l, m, h] = [low[at], mean[at], high[at]]
  return l == null || m == null || h == null ? null : { low: l, mean: m, high: h }
}
