/** A stretch of time that is looked at. */
export interface PastWindow {
  readonly fromMs: number
  readonly toMs: number
}

/** Where the picture lies on the screen, in px: from its left edge, and how wide. */
export interface PlotSpan {
  readonly left: number
  readonly width: number
}

/** How far one may go: no later than now, no narrower than a few minutes. */
export interface Reach {
  readonly nowMs: number
}

const SECOND_MS = 1000
const MINUTE_MS = 60_000
const DAY_MS = 86_400_000
export const NARROWEST_MS = 5 * MINUTE_MS
export const WIDEST_MS = 20 * 366 * DAY_MS
/** A notch of a wheel, or a press of a button: two make twice as near. */
export const STEP = Math.SQRT2

export const PRESETS = ['night', 'day', 'week', 'month', 'year', 'all'] as const
export type Preset = (typeof PRESETS)[number]
const PRESET_MS = { day: DAY_MS, week: 7 * DAY_MS, month: 30 * DAY_MS, year: 365 * DAY_MS } as const

/**
 * ZOOM-1 what lies under the pointer stays there, unless the window would reach beyond now.
 * `factor` above 1 goes nearer.
 */
export function zoomed(
  window: PastWindow,
  { factor, aroundMs }: { factor: number; aroundMs: number },
  reach: Reach,
): PastWindow {
  const spanMs = window.toMs - window.fromMs
  const wantedMs = held(spanMs / factor, NARROWEST_MS, WIDEST_MS)
  const share = (aroundMs - window.fromMs) / spanMs
  const fromMs = aroundMs - share * wantedMs
  return within({ fromMs, toMs: fromMs + wantedMs }, reach)
}

/** ZOOM-2 the width stays, also where now stops it. */
export function panned({ fromMs, toMs }: PastWindow, byMs: number, reach: Reach): PastWindow {
  return within({ fromMs: fromMs + byMs, toMs: toMs + byMs }, reach)
}

/** ZOOM-3 two fingers keep the two times that they took hold of. */
export function pinched(
  anchors: readonly [{ atMs: number; x: number }, { atMs: number; x: number }],
  plot: PlotSpan,
  reach: Reach,
): PastWindow {
  const [a, b] = anchors
  const msPerPx = Math.abs(b.atMs - a.atMs) / Math.max(8, Math.abs(b.x - a.x))
  const spanMs = held(msPerPx * plot.width, NARROWEST_MS, WIDEST_MS)
  const middleX = (a.x + b.x) / 2
  const middleMs = (a.atMs + b.atMs) / 2
  const fromMs = middleMs - ((middleX - plot.left) / plot.width) * spanMs
  return within({ fromMs, toMs: fromMs + spanMs }, reach)
}

/** ZOOM-4 a preset ends now, but for the night, which is the last one, and all, which begins with the record. */
export function presetWindow(
  preset: Preset,
  { nowMs, lastNight, beginsMs }: Reach & { lastNight: PastWindow | null; beginsMs: number | null },
): PastWindow {
  if (preset === 'night') return within(lastNight ?? { fromMs: nowMs - DAY_MS / 2, toMs: nowMs }, { nowMs })
  const spanMs = preset === 'all' ? nowMs - (beginsMs ?? nowMs - DAY_MS) : PRESET_MS[preset]
  return within({ fromMs: nowMs - held(spanMs, NARROWEST_MS, WIDEST_MS), toMs: nowMs }, { nowMs })
}

export function msAt(x: number, { fromMs, toMs }: PastWindow, { left, width }: PlotSpan): number {
  return fromMs + ((x - left) / Math.max(1, width)) * (toMs - fromMs)
}

export function xAt(atMs: number, { fromMs, toMs }: PastWindow, { left, width }: PlotSpan): number {
  return left + ((atMs - fromMs) / (toMs - fromMs)) * width
}

/** In whole seconds, so that a link holds it exactly; moved back where it would reach beyond now or before 1970. */
function within({ fromMs, toMs }: PastWindow, { nowMs }: Reach): PastWindow {
  const spanMs = Math.max(SECOND_MS, Math.round((toMs - fromMs) / SECOND_MS) * SECOND_MS)
  const lastMs = Math.ceil(nowMs / SECOND_MS) * SECOND_MS
  const endMs = Math.min(lastMs, Math.round(toMs / SECOND_MS) * SECOND_MS)
  const startMs = Math.max(0, endMs - spanMs)
  return { fromMs: startMs, toMs: startMs + spanMs }
}

function held(value: number, least: number, most: number): number {
  return Math.min(most, Math.max(least, value))
}
