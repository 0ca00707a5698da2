import type { HistoryView, MachineHistory } from '../../../services/core/model/history-view.ts'
import type { MachineDoing } from '../../../services/core/model/quarter.ts'
import { POWER_ORDER } from './lane-words.ts'
import { xAt, type PastWindow, type PlotSpan } from './window.ts'

/** A piece of a ribbon: what share of its stretch a state took is how high it stands. */
export interface RibbonPiece {
  readonly doing: MachineDoing
  readonly x: number
  readonly width: number
  /** From the top of the ribbon, 0 to 1. */
  readonly top: number
  readonly height: number
}

export interface LaneSpan {
  readonly x: number
  readonly width: number
}

export type MarkShape = 'clear' | 'missing' | 'cleaning' | 'entry' | 'done' | 'missed'
export interface LaneMark {
  readonly x: number
  readonly shape: MarkShape
}

/** The lanes of one machine, or of what belongs to none, in px. */
export interface Lanes {
  readonly ribbon: readonly RibbonPiece[]
  readonly alarms: readonly LaneSpan[]
  readonly checks: readonly LaneMark[]
  readonly cares: readonly LaneMark[]
  readonly tasks: readonly LaneMark[]
}

export interface LaneFrame {
  readonly window: PastWindow
  readonly plot: PlotSpan
  /** The ribbon's height, px. */
  readonly heightPx: number
}

/** No state is drawn lower than this, so that an outage of a quarter of an hour is seen at a year's width. */
const LEAST_PX = 2.5
/** An alarm of a minute is seen at a year's width. */
const LEAST_SPAN_PX = 3

const APART_PX = 9

/** Null: what belongs to no machine shown. */
export function lanesOf(view: HistoryView, machine: MachineHistory | null, frame: LaneFrame): Lanes {
  const isOf = ({ machineIds }: { machineIds: readonly string[] }): boolean =>
    machine ? machineIds.includes(machine.id) : machineIds.length === 0
  const mark = (atMs: number, shape: MarkShape): LaneMark[] => markAt(atMs, shape, frame)
  return {
    ribbon: machine ? ribbonOf(machine, view, frame) : [],
    alarms: view.troubles.filter(isOf).flatMap((t) => {
      const span = spanOf(t.fromMs, t.toMs ?? view.toMs, frame)
      return span ? [seen(span)] : []
    }),
    checks: thinned(
      view.checks
        .filter((c) => c.machineId === machine?.id)
        .flatMap((c) => mark(c.atMs, c.missingNozzles === 0 ? 'clear' : 'missing')),
    ),
    cares: thinned([
      ...(machine ? cleaningsOf(machine, view, frame) : []),
      ...view.entries.filter(isOf).flatMap((e) => mark(e.atMs, e.kind === 'care' ? 'cleaning' : 'entry')),
    ]),
    tasks: thinned(
      view.tasks.filter(isOf).flatMap((t) => mark(t.endedMs, t.state === 'missed' ? 'missed' : 'done')),
    ),
  }
}

/**
 * RIBBON-1 a stretch is stacked by the share of each state, so that none stands for another.
 * RIBBON-2 a state that was there at all is at least 2.5 px high, at the cost of the largest.
 * RIBBON-3 neighbours that are wholly in one state are one piece; a stretch that was not watched has none.
 */
function ribbonOf(machine: MachineHistory, { quarters }: HistoryView, frame: LaneFrame): RibbonPiece[] {
  const pieces: RibbonPiece[] = []
  quarters.startsMs.forEach((startMs, at) => {
    const span = spanOf(startMs, startMs + quarters.widthMs, frame)
    if (!span) return
    let top = 1
    for (const { doing, height } of heightsOf(machine, at, LEAST_PX / frame.heightPx)) {
      top -= height
      const last = pieces.at(-1)
      const goesOn = height === 1 && last?.height === 1 && last.doing === doing && touches(last, span)
      if (goesOn) pieces[pieces.length - 1] = { ...last, width: span.x + span.width - last.x }
      else pieces.push({ doing, ...span, top: Math.max(0, top), height })
    }
  })
  return pieces
}

function touches(a: LaneSpan, b: LaneSpan): boolean {
  return Math.abs(a.x + a.width - b.x) < 0.5
}

/** Heights of the states of a stretch, from the bottom; they add up to 1, or there are none. */
export function heightsOf(
  { shares }: Pick<MachineHistory, 'shares'>,
  at: number,
  least: number,
): { readonly doing: MachineDoing; readonly height: number }[] {
  const present = POWER_ORDER.flatMap((doing) => {
    const share = shares[doing]?.[at] ?? 0
    return share > 0 ? [{ doing, height: Math.max(share, least) }] : []
  })
  const over = present.reduce((sum, p) => sum + p.height, 0) - 1
  const largest = present.reduce((at, p, i) => (p.height > (present[at]?.height ?? 0) ? i : at), 0)
  return present.map((p, i) => (i === largest ? { ...p, height: p.height - over } : p))
}

function cleaningsOf(machine: MachineHistory, { quarters }: HistoryView, frame: LaneFrame): LaneMark[] {
  return quarters.startsMs.flatMap((startMs, at) =>
    (machine.cleanings[at] ?? 0) > 0 ? markAt(startMs + quarters.widthMs / 2, 'cleaning', frame) : [],
  )
}

function markAt(atMs: number, shape: MarkShape, { window, plot }: LaneFrame): LaneMark[] {
  return atMs < window.fromMs || atMs > window.toMs ? [] : [{ x: xAt(atMs, window, plot), shape }]
}

/** MARK-1 of marks of one shape that would lie on each other the first stands for all; another shape stays beside it. */
function thinned(marks: readonly LaneMark[]): LaneMark[] {
  const last = new Map<MarkShape, number>()
  return [...marks]
    .sort((a, b) => a.x - b.x)
    .filter(({ x, shape }) => {
      if (x - (last.get(shape) ?? -Infinity) < APART_PX) return false
      last.set(shape, x)
      return true
    })
}

/** Cut to the plot; null outside of it. */
function spanOf(fromMs: number, toMs: number, { window, plot }: LaneFrame): LaneSpan | null {
  if (toMs <= window.fromMs || fromMs >= window.toMs) return null
  const from = Math.max(plot.left, xAt(fromMs, window, plot))
  const to = Math.min(plot.left + plot.width, xAt(toMs, window, plot))
  return { x: from, width: to - from }
}

/** As wide as it must be to be seen. */
function seen({ x, width }: LaneSpan): LaneSpan {
  return width >= LEAST_SPAN_PX ? { x, width } : { x: x - (LEAST_SPAN_PX - width) / 2, width: LEAST_SPAN_PX }
}
