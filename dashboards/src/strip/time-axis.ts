import { clockTime, hourAndMinute } from '../words/shop-time.ts'

const QUARTER_MS = 15 * 60_000

/** The stretch of time a strip shows. `toMs` is now; it will lie later once the coming night is drawn. */
export interface TimeWindow {
  readonly fromMs: number
  readonly toMs: number
}

/** Where the plot of a strip begins and ends, in px. */
export interface PlotWidth {
  readonly left: number
  readonly right: number
}

export interface TimeTick {
  readonly x: number
  readonly label: string
}

export interface Stretch {
  readonly x: number
  readonly width: number
}

/** The px of a point in time; times outside the window are held at its edges. */
export function xOf(atMs: number, { fromMs, toMs }: TimeWindow, { left, right }: PlotWidth): number {
  const share = (Math.min(Math.max(atMs, fromMs), toMs) - fromMs) / Math.max(1, toMs - fromMs)
  return rounded(left + share * (right - left))
}

/** The part of a span that lies in the window, in px; null when none does. */
export function stretchOf(
  span: { readonly fromMs: number; readonly toMs: number },
  window: TimeWindow,
  plot: PlotWidth,
): Stretch | null {
  if (span.toMs <= window.fromMs || span.fromMs >= window.toMs) return null
  const x = xOf(span.fromMs, window, plot)
  return { x, width: rounded(xOf(span.toMs, window, plot) - x) }
}

/**
 * Marks at every third full hour on the shop's clock. It looks at every quarter, since zones differ from each
 * other by quarters and a clock change moves the hours; a mark too near to now would run into its label.
 */
export function timeTicks(
  window: TimeWindow,
  plot: PlotWidth,
  { timeZone, clearPx }: { timeZone: string; clearPx: number },
): readonly TimeTick[] {
  const ticks: TimeTick[] = []
  for (
    let atMs = Math.ceil(window.fromMs / QUARTER_MS) * QUARTER_MS;
    atMs < window.toMs;
    atMs += QUARTER_MS
  ) {
    const { hour, minute } = hourAndMinute(atMs, timeZone)
    if (minute !== 0 || hour % 3 !== 0) continue
    const x = xOf(atMs, window, plot)
    if (plot.right - x < clearPx || x - plot.left < clearPx / 4) continue
    ticks.push({ x, label: clockTime(atMs, timeZone) })
  }
  return ticks
}

/** A tenth of a pixel is enough, and keeps the markup short. */
export function rounded(px: number): number {
  return Math.round(px * 10) / 10
}
