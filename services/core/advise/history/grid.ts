import type { HistoryBand, HistoryGrid } from '../../model/history-view.ts'
import type { SeriesPoint } from '../../model/ports/records.ts'

/** Stretches of one width that cover a window, from a multiple of the width on. */
export function gridOver({ fromMs, toMs }: { fromMs: number; toMs: number }, widthMs: number): HistoryGrid {
  const firstMs = Math.floor(fromMs / widthMs) * widthMs
  const count = Math.max(1, Math.ceil((toMs - firstMs) / widthMs))
  return { widthMs, startsMs: Array.from({ length: count }, (_, i) => firstMs + i * widthMs) }
}

/** From the beginning of its first stretch to the end of its last. */
export function reachOf({ startsMs, widthMs }: HistoryGrid): { fromMs: number; toMs: number } {
  const fromMs = startsMs[0] ?? 0
  return { fromMs, toMs: fromMs + startsMs.length * widthMs }
}

/** Where in the grid a time lies; it may lie outside. */
export function placeIn({ startsMs, widthMs }: HistoryGrid, atMs: number): number {
  return Math.floor((atMs - (startsMs[0] ?? 0)) / widthMs)
}

export function emptyBand({ startsMs }: HistoryGrid): HistoryBand {
  const none = (): null[] => startsMs.map(() => null)
  return { low: none(), mean: none(), high: none(), last: none() }
}

/**
 * Stretches laid on the grid, each value turned by `turn`. Where several sensors measured the same stretch, the band
 * holds them all, and mean and last are the means of theirs.
 */
export function bandOf(
  sensors: readonly (readonly SeriesPoint[])[],
  grid: HistoryGrid,
  turn: (value: number) => number = (value) => value,
): HistoryBand {
  const band = emptyBand(grid)
  const counts = grid.startsMs.map(() => 0)
  for (const { atMs, min, mean, max, last } of sensors.flat()) {
    const at = placeIn(grid, atMs)
    if (at < 0 || at >= counts.length) continue
    const [a, b] = [turn(min), turn(max)]
    const n = (counts[at] = (counts[at] ?? 0) + 1)
    band.low[at] = Math.min(band.low[at] ?? Infinity, a, b)
    band.high[at] = Math.max(band.high[at] ?? -Infinity, a, b)
    band.mean[at] = ((band.mean[at] ?? 0) * (n - 1) + turn(mean)) / n
    band.last[at] = ((band.last[at] ?? 0) * (n - 1) + turn(last)) / n
  }
  return band
}

/** A band out of two, place by place; null where either has none, or where there is no answer. */
export function joinBands(
  a: HistoryBand,
  b: HistoryBand,
  join: { readonly [Which in keyof HistoryBand]: Join },
): HistoryBand {
  const each = (which: keyof HistoryBand): (number | null)[] =>
    a.mean.map((_, at) => {
      const [first, second] = [stretchAt(a, at), stretchAt(b, at)]
      return first && second ? join[which](first, second) : null
    })
  return { low: each('low'), mean: each('mean'), high: each('high'), last: each('last') }
}

/** The band with no more digits than its sensors can tell, so that a year stays small on its way. */
export function roundedBand({ low, mean, high, last }: HistoryBand, digits: number): HistoryBand {
  const rounded = (values: readonly (number | null)[]): (number | null)[] =>
    values.map((v) => (v === null ? null : Number(v.toFixed(digits))))
  return { low: rounded(low), mean: rounded(mean), high: rounded(high), last: rounded(last) }
}

type StretchOf = { readonly [Which in keyof HistoryBand]: number }
type Join = (a: StretchOf, b: StretchOf) => number | null

function stretchAt({ low, mean, high, last }: HistoryBand, at: number): StretchOf | null {
  const [l, m, h, e] = [low[at], mean[at], high[at], last[at]]
  return l == null || m == null || h == null || e == null ? null : { low: l, mean: m, high: h, last: e }
}
