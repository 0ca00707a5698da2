import { clockTime, hourAndMinute, weekdayShort } from '../words/shop-time.ts'

const MIN_MS = 60_000
const HOUR_MS = 60 * MIN_MS
const DAY_MS = 24 * HOUR_MS
const QUARTER_MS = 15 * MIN_MS
/** A long weekend would press the past flat: what lies ahead takes at most this share of the width. */
const AHEAD_AT_MOST = 0.6
const STEPS_H = [3, 6, 12, 24] as const

/** The stretch of time a strip shows: the past up to now, and what lies ahead up to the next opening. */
export interface TimeWindow {
  readonly fromMs: number
  readonly nowMs: number
  /** `nowMs` when nothing is known of the hours ahead. */
  readonly toMs: number
}

/** Where the plot of a strip begins and ends, and where now stands, in px. */
export interface PlotWidth {
  readonly left: number
  readonly nowX: number
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

/** Past and future share one scale, unless the hours ahead are so many that they are drawn closer. */
export function nowXOf(
  { fromMs, nowMs, toMs }: TimeWindow,
  { left, right }: { left: number; right: number },
): number {
  const share = Math.min(AHEAD_AT_MOST, (toMs - nowMs) / Math.max(1, toMs - fromMs))
  return rounded(right - share * (right - left))
}

/** The px of a point in time; times outside the window are held at its edges. */
export function xOf(atMs: number, { fromMs, nowMs, toMs }: TimeWindow, plot: PlotWidth): number {
  const between = (a: number, b: number, x1: number, x2: number): number => {
    const share = (Math.min(Math.max(atMs, a), b) - a) / Math.max(1, b - a)
    return rounded(x1 + share * (x2 - x1))
  }
  return atMs <= nowMs
    ? between(fromMs, nowMs, plot.left, plot.nowX)
    : between(nowMs, toMs, plot.nowX, plot.right)
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
 * Marks at every third full hour on the shop's clock, or every 6, 12 or 24 where hours are drawn closer; with more than
 * a day ahead its midnights carry the name of the day they begin. It looks at every quarter, since zones differ from each other
 * by quarters and a clock change moves the hours. `clear` px are kept free between marks, around now, and at the end,
 * where labels of their own stand.
 */
export function timeTicks(
  window: TimeWindow,
  plot: PlotWidth,
  { timeZone, clear }: { timeZone: string; clear: { between: number; now: number; end: number } },
): readonly TimeTick[] {
  const { fromMs, nowMs, toMs } = window
  const pastStepH = stepH((plot.nowX - plot.left) / hours(nowMs - fromMs), clear.between)
  const aheadStepH = stepH((plot.right - plot.nowX) / hours(toMs - nowMs), clear.between)
  const ticks: TimeTick[] = []
  for (let atMs = Math.ceil(fromMs / QUARTER_MS) * QUARTER_MS; atMs < toMs; atMs += QUARTER_MS) {
    const everyH = atMs <= nowMs ? pastStepH : aheadStepH
    const { hour, minute } = hourAndMinute(atMs, timeZone)
    if (minute !== 0 || hour % everyH !== 0) continue
    const x = xOf(atMs, window, plot)
    const isFree = Math.abs(x - plot.nowX) >= clear.now && plot.right - x >= clear.end
    // Days can be drawn closer than their names are wide: then every second one goes without.
    const fromLast = x - (ticks.at(-1)?.x ?? -Infinity)
    if (!isFree || fromLast < clear.between || x - plot.left < 0.45 * clear.between) continue
    const isDay = hour === 0 && atMs > nowMs && toMs - nowMs > DAY_MS
    ticks.push({ x, label: isDay ? weekdayShort(atMs, timeZone) : clockTime(atMs, timeZone) })
  }
  return ticks
}

/** A tenth of a pixel is enough, and keeps the markup short. */
export function rounded(px: number): number {
  return Math.round(px * 10) / 10
}

function hours(ms: number): number {
  return Math.max(ms, MIN_MS) / HOUR_MS
}

function stepH(pxPerHour: number, clearPx: number): number {
  return STEPS_H.find((h) => h * pxPerHour >= clearPx) ?? 24
}
