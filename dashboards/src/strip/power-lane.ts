import type { MachineView } from '../../../services/core/model/views.ts'
import { clockTime } from '../words/shop-time.ts'
import { gapsOf } from './gaps.ts'
import { stretchOf, xOf, type PlotWidth, type Stretch, type TimeWindow } from './time-axis.ts'

export type Power = MachineView['power']
export type KnownState = Exclude<Power['now'], 'unknown'>
type Cleaning = MachineView['cleanings'][number]

export interface PowerBar extends Stretch {
  readonly state: KnownState
}

export interface PowerNote {
  /** Where the text begins. */
  readonly x: number
  readonly text: string
}

export interface CleaningMark {
  readonly x: number
  readonly basis: Cleaning['basis']
}

export interface PowerLane {
  readonly bars: readonly PowerBar[]
  readonly gaps: readonly Stretch[]
  /** When it was off, in words. */
  readonly notes: readonly PowerNote[]
  readonly cleanings: readonly CleaningMark[]
}

interface PowerFrame {
  readonly window: TimeWindow
  readonly plot: PlotWidth
  readonly timeZone: string
  readonly letterPx: number
}

/** Neighbouring spans of one state as one; the last reaches now when its state is that of now. */
export function joinedPower({ now, spans }: Pick<Power, 'now' | 'spans'>, nowMs: number): Power['spans'] {
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
  { power, cleanings }: Pick<MachineView, 'power' | 'cleanings'>,
  frame: PowerFrame,
): PowerLane {
  const { window, plot } = frame
  const bars: PowerBar[] = []
  const notes: PowerNote[] = []
  const known = joinedPower(power, window.nowMs).filter((s) => s.state !== 'unknown')
  for (const span of known) {
    const stretch = stretchOf(span, window, plot)
    if (!stretch || span.state === 'unknown') continue
    bars.push({ ...stretch, state: span.state })
    if (span.state === 'off') notes.push(offNote(span, stretch, frame))
  }
  const gaps = gapsOf(known, { fromMs: window.fromMs, toMs: window.nowMs }, power.now !== 'unknown')
  return {
    bars,
    notes: placedNotes(notes, frame),
    gaps: gaps.flatMap((gap) => stretchOf(gap, window, plot) ?? []),
    cleanings: cleanings
      .filter(({ atMs }) => atMs >= window.fromMs && atMs <= window.nowMs)
      .map(({ atMs, basis }) => ({ x: xOf(atMs, window, plot), basis })),
  }
}

/** Under its bar; an outage that lasts is told right of now, where nothing else stands. */
function offNote(span: { fromMs: number; toMs: number }, stretch: Stretch, frame: PowerFrame): PowerNote {
  const text = offText(span, frame)
  const isNow = span.toMs >= frame.window.nowMs
  const middle = stretch.x + stretch.width / 2
  return {
    x: isNow ? frame.plot.nowX + 1.35 * frame.letterPx : middle - (text.length * frame.letterPx) / 2,
    text,
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
    const width = text.length * letterPx
    const from = Math.max(plot.left, Math.min(x, plot.right - width - letterPx))
    if (from + width > freeUntil) continue
    placed.unshift({ x: from, text })
    freeUntil = from - letterPx
  }
  return placed
}

/** `off 21:48 to 22:10`, `off since 21:48`, or `off` when it began before the strip does. */
function offText(
  span: { fromMs: number; toMs: number },
  { window, timeZone }: { window: TimeWindow; timeZone: string },
): string {
  const from = clockTime(span.fromMs, timeZone)
  if (span.toMs >= window.nowMs) return span.fromMs <= window.fromMs ? 'off' : `off since ${from}`
  const to = clockTime(span.toMs, timeZone)
  return span.fromMs <= window.fromMs ? `off until ${to}` : `off ${from} to ${to}`
}
