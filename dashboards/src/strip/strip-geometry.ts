import type { BoardView, MachineView } from '../../../services/core/model/views.ts'
import { powerLane, type PowerLane } from './power-lane.ts'
import {
  stretchOf,
  timeTicks,
  type PlotWidth,
  type Stretch,
  type TimeTick,
  type TimeWindow,
} from './time-axis.ts'
import { valueLane, type ValueLane } from './value-lane.ts'

/** The room a strip has: its width, the size of the page's letters, and whether lane names stand beside or above. */
export interface StripRoom {
  readonly widthPx: number
  readonly remPx: number
  readonly names: 'beside' | 'above'
}

export interface Lane {
  readonly top: number
  readonly height: number
  /** The baseline of the lane's name. */
  readonly nameY: number
}

export interface StripGeometry {
  readonly widthPx: number
  readonly heightPx: number
  readonly plot: PlotWidth
  readonly humidity: Lane & ValueLane
  readonly power: Lane & PowerLane
  readonly bottle: (Lane & ValueLane) | null
}

/** What lies behind all strips at once: closed hours, full hours, the line of now. */
export interface SheetGeometry {
  readonly plot: PlotWidth
  readonly closed: readonly Stretch[]
  readonly ticks: readonly TimeTick[]
  readonly nowX: number
}

export function timeWindowOf({ fromMs, nowMs }: Pick<BoardView, 'fromMs' | 'nowMs'>): TimeWindow {
  return { fromMs, toMs: nowMs }
}

/** Names stand left of the plot and the values of now right of it; on a phone the names go above the lanes. */
export function plotOf({ widthPx, remPx, names }: StripRoom): PlotWidth {
  const left = names === 'beside' ? 4.25 * remPx : 0
  return { left, right: Math.max(left + 40, widthPx - 5.25 * remPx) }
}

export function sheetGeometry(board: BoardView, room: StripRoom): SheetGeometry {
  const window = timeWindowOf(board)
  const plot = plotOf(room)
  return {
    plot,
    closed: board.closedSpans.flatMap((span) => stretchOf(span, window, plot) ?? []),
    ticks: timeTicks(window, plot, { timeZone: board.site.timeZone, clearPx: 4 * room.remPx }),
    nowX: plot.right,
  }
}

/**
 * One scale for the humidity of all machines, so that two strips can be compared by eye: every value and limit of
 * the board with some air around, and never less than 20 %RH high, or noise would look like weather.
 */
export function humidityScale(machines: readonly MachineView[]): readonly [low: number, high: number] {
  let low = 100
  let high = 0
  const take = (value: number): void => {
    low = Math.min(low, value)
    high = Math.max(high, value)
  }
  for (const { humidity } of machines) {
    take(humidity.limitPct)
    if (humidity.nowPct !== null) take(humidity.nowPct)
    for (const run of humidity.runs) for (const [, value] of run) take(value)
  }
  const missing = Math.max(0, 20 - (high + 3 - (low - 3)))
  return [Math.max(0, low - 3 - missing / 3), Math.min(100, high + 3 + (missing * 2) / 3)]
}

export function stripGeometry(machine: MachineView, board: BoardView, room: StripRoom): StripGeometry {
  const frame = { plot: plotOf(room), window: timeWindowOf(board) }
  const lanes = layLanes(machine, room)
  const { runs, nowPct, limitPct } = machine.humidity
  const scale = humidityScale(board.machines)
  return {
    widthPx: room.widthPx,
    heightPx: lanes.heightPx,
    plot: frame.plot,
    humidity: {
      ...lanes.humidity,
      ...valueLane({ runs, now: nowPct, limit: limitPct }, { ...frame, ...lanes.humidity, scale }),
    },
    power: {
      ...lanes.power,
      ...powerLane(machine.power, { ...frame, timeZone: board.site.timeZone, letterPx: 0.45 * room.remPx }),
    },
    bottle: bottleLane(machine, lanes.bottle, frame),
  }
}

function bottleLane(
  { bottle }: MachineView,
  lane: Lane | null,
  frame: { plot: PlotWidth; window: TimeWindow },
): StripGeometry['bottle'] {
  if (!bottle || !lane) return null
  const values = { runs: bottle.runs, now: bottle.fillPct, limit: bottle.nearPct }
  return { ...lane, ...valueLane(values, { ...frame, ...lane, scale: [0, 100] }) }
}

interface Lanes {
  readonly humidity: Lane
  readonly power: Lane
  readonly bottle: Lane | null
  readonly heightPx: number
}

/** Lanes from top to bottom: humidity, power with room for its words, bottle. In letters, so that a wall scales it. */
function layLanes({ standing, bottle: own }: MachineView, { remPx, names }: StripRoom): Lanes {
  // What needs someone gets room for its evidence; what is well stays small.
  const isTall = standing === 'actNow' || standing === 'beforeOpening'
  const aboveRem = names === 'above' ? 1.3 : 0
  let yRem = names === 'above' ? 0 : 0.5
  const lane = (heightRem: number, gapRem: number, nameRem: number): Lane => {
    const topRem = yRem + aboveRem
    yRem = topRem + heightRem + gapRem
    const nameY = names === 'above' ? topRem - 0.35 : topRem + nameRem
    return { top: topRem * remPx, height: heightRem * remPx, nameY: nameY * remPx }
  }
  const humidity = lane(isTall ? 5.5 : 3.25, 0.8, 0.75)
  const power = lane(0.6, names === 'above' ? 1 : 1.3, 0.55)
  const bottle = own ? lane(isTall ? 2.75 : 1.6, 0.6, isTall ? 2.7 : 1.55) : null
  return { humidity, power, bottle, heightPx: yRem * remPx }
}
