import type { BoardView } from '../../../services/core/model/views.ts'
import { clockTime, dayClock } from '../words/shop-time.ts'
import type { Span } from './gaps.ts'
import {
  nowXOf,
  stretchOf,
  timeTicks,
  type PlotWidth,
  type Stretch,
  type TimeTick,
  type TimeWindow,
} from './time-axis.ts'

/** The room a strip has: its width, the size of the page's letters, and whether lane names stand beside or above. */
export interface StripRoom {
  readonly widthPx: number
  readonly remPx: number
  readonly names: 'beside' | 'above'
}

/** What lies behind all strips at once: closed hours, full hours, the line of now, and where the strip ends. */
export interface SheetGeometry {
  readonly plot: PlotWidth
  readonly closed: readonly Stretch[]
  readonly ticks: readonly TimeTick[]
  readonly now: TimeTick
  /** The end of the coming night; null when nothing is known of it. */
  readonly end: TimeTick | null
}

type Sheet = Pick<BoardView, 'fromMs' | 'nowMs' | 'closedSpans' | 'machines' | 'site'>

/** All strips of a sheet share one axis, up to the next opening that any of them is told for. */
export function timeWindowOf({ fromMs, nowMs, machines, site }: Sheet): TimeWindow {
  const ends = machines.flatMap(({ night }) => (night ? [night.toMs] : []))
  const opening = !site.open && site.nextChangeMs !== null ? [site.nextChangeMs] : []
  return { fromMs, nowMs, toMs: Math.max(nowMs, ...(ends.length > 0 ? ends : opening)) }
}

/**
 * Names stand left of the plot and limits right of it; on a phone both go above the lanes, and the plot takes the
 * whole width.
 */
export function plotOf({ widthPx, remPx, names }: StripRoom, window: TimeWindow): PlotWidth {
  const left = names === 'beside' ? 6.75 * remPx : 0
  const right = Math.max(left + 40, widthPx - (names === 'beside' ? 3.9 * remPx : 1))
  return { left, right, nowX: nowXOf(window, { left, right }) }
}

export function sheetGeometry(board: Sheet, room: StripRoom): SheetGeometry {
  const window = timeWindowOf(board)
  const plot = plotOf(room, window)
  const { timeZone } = board.site
  const { remPx } = room
  const end = endOf(board, window, plot, room)
  const clear = {
    between: 3.1 * remPx,
    now: 3.9 * remPx,
    end: end ? (end.label.length * 0.5 + 1.6) * remPx : 0,
  }
  return {
    plot,
    closed: [...board.closedSpans, ...closedAhead(board, window)].flatMap(
      (span) => stretchOf(span, window, plot) ?? [],
    ),
    ticks: timeTicks(window, plot, { timeZone, clear }),
    now: { x: plot.nowX, label: `now ${clockTime(board.nowMs, timeZone)}` },
    end,
  }
}

/** The hours ahead in which the shop is closed: up to the end of the strip, which is the next opening. */
export function closedAhead({ site }: Sheet, { nowMs, toMs }: TimeWindow): readonly Span[] {
  const fromMs = site.open ? site.nextChangeMs : nowMs
  return fromMs === null || fromMs >= toMs ? [] : [{ fromMs, toMs }]
}

/** Told when it fits beside the label of now. */
function endOf(
  { site, nowMs }: Sheet,
  { toMs }: TimeWindow,
  plot: PlotWidth,
  { remPx, names }: StripRoom,
): TimeTick | null {
  if (toMs <= nowMs) return null
  const time = dayClock(toMs, { timeZone: site.timeZone, nowMs })
  const label = names === 'beside' ? `opens ${time}` : time
  const isRoom = plot.right - plot.nowX > (label.length * 0.5 + 2.8) * remPx
  return isRoom ? { x: plot.right, label } : null
}
