import type { MachineView } from '../../../services/core/model/views.ts'
import { clockTime } from '../words/shop-time.ts'
import { gapsOf } from './gaps.ts'
import { stretchOf, type PlotWidth, type Stretch, type TimeWindow } from './time-axis.ts'

export type Power = MachineView['power']

export interface PowerBar extends Stretch {
  readonly state: 'on' | 'off'
}

export interface PowerNote {
  /** The middle of the text. */
  readonly x: number
  readonly text: string
}

export interface PowerLane {
  readonly bars: readonly PowerBar[]
  readonly gaps: readonly Stretch[]
  /** When it was off, in words. */
  readonly notes: readonly PowerNote[]
}

/** Neighbouring spans of one state as one; the last reaches now when its state is that of now. */
export function joinedPower({ now, spans }: Power, nowMs: number): Power['spans'] {
  const joined: Power['spans'] = []
  for (const span of spans) {
    const before = joined.at(-1)
    if (before?.state === span.state && before.toMs >= span.fromMs) before.toMs = span.toMs
    else joined.push({ ...span })
  }
  const last = joined.at(-1)
  if (last && last.state === now && last.toMs < nowMs) last.toMs = nowMs
  return joined
}

export function powerLane(
  power: Power,
  frame: { window: TimeWindow; plot: PlotWidth; timeZone: string; letterPx: number },
): PowerLane {
  const { window, plot } = frame
  const bars: PowerBar[] = []
  const notes: PowerNote[] = []
  const known = joinedPower(power, window.toMs).filter((s) => s.state !== 'unknown')
  for (const span of known) {
    const stretch = stretchOf(span, window, plot)
    if (!stretch || span.state === 'unknown') continue
    bars.push({ ...stretch, state: span.state })
    if (span.state === 'off') notes.push({ x: stretch.x + stretch.width / 2, text: offText(span, frame) })
  }
  const gaps = gapsOf(known, window, power.now !== 'unknown')
  return {
    bars,
    notes: placedNotes(notes, frame),
    gaps: gaps.flatMap((gap) => stretchOf(gap, window, plot) ?? []),
  }
}

/** Keeps each text within the plot and clear of the next; where two would touch, the later outage is the one told. */
function placedNotes(
  notes: readonly PowerNote[],
  { plot, letterPx }: { plot: PlotWidth; letterPx: number },
): readonly PowerNote[] {
  const placed: PowerNote[] = []
  let freeUntil = Infinity
  for (const { x, text } of [...notes].reverse()) {
    const half = (text.length * letterPx) / 2
    const middle = Math.max(plot.left + half, Math.min(x, plot.right - half - letterPx))
    if (middle + half > freeUntil) continue
    placed.unshift({ x: middle, text })
    freeUntil = middle - half - letterPx
  }
  return placed
}

/** `off 21:48 to 22:10`, `off since 21:48`, or `off` when it began before the strip does. */
function offText(
  span: { fromMs: number; toMs: number },
  { window, timeZone }: { window: TimeWindow; timeZone: string },
): string {
  const from = clockTime(span.fromMs, timeZone)
  if (span.toMs >= window.toMs) return span.fromMs <= window.fromMs ? 'off' : `off since ${from}`
  const to = clockTime(span.toMs, timeZone)
  return span.fromMs <= window.fromMs ? `off until ${to}` : `off ${from} to ${to}`
}
