import type { BoardView, MachineView } from '../../../services/core/model/views.ts'
import { crossingAhead, ribbonOf, type Crossing, type Ribbon } from './ahead.ts'
import { INK_SCALE, inkLane, type InkLane } from './ink-lane.ts'
import { layLanes, type Lane } from './lane-layout.ts'
import { powerLane, type PowerLane } from './power-lane.ts'
import { plotOf, timeWindowOf, type StripRoom } from './sheet-geometry.ts'
import type { PlotWidth, TimeWindow } from './time-axis.ts'
import { valueLane, yOf, type ValueLane } from './value-lane.ts'

export interface StripGeometry {
  readonly widthPx: number
  readonly heightPx: number
  readonly plot: PlotWidth
  readonly humidity: Lane & ValueLane & { readonly ribbon: Ribbon | null }
  readonly inks: (Lane & InkLane) | null
  readonly power: Lane & PowerLane
  readonly bottle: (Lane & ValueLane & BottleAhead) | null
}

interface BottleAhead {
  readonly ribbon: Ribbon | null
  readonly fullY: number
  readonly reachesFull: Crossing | null
}

interface Axis {
  readonly window: TimeWindow
  readonly plot: PlotWidth
}

/**
 * One scale for the humidity of all machines, so that two strips can be compared by eye: every value, limit and
 * forecast of the board with some air around, and never less than 20 %RH high, or noise would look like weather.
 */
export function humidityScale(machines: readonly MachineView[]): readonly [low: number, high: number] {
  let low = 100
  let high = 0
  const take = (value: number): void => {
    low = Math.min(low, value)
    high = Math.max(high, value)
  }
  for (const { humidity, night } of machines) {
    take(humidity.limitPct)
    if (humidity.nowPct !== null) take(humidity.nowPct)
    for (const run of humidity.runs) for (const [, value] of run) take(value)
    for (const [, lower, , upper] of night?.humidityPct ?? []) [lower, upper].forEach(take)
  }
  const missing = Math.max(0, 20 - (high + 3 - (low - 3)))
  return [Math.max(0, low - 3 - missing / 3), Math.min(100, high + 3 + (missing * 2) / 3)]
}

export function stripGeometry(machine: MachineView, board: BoardView, room: StripRoom): StripGeometry {
  const window = timeWindowOf(board)
  const axis = { window, plot: plotOf(room, window) }
  const lanes = layLanes(machine, room)
  const { inks } = lanes
  const letters = { timeZone: board.site.timeZone, letterPx: 0.45 * room.remPx }
  return {
    widthPx: room.widthPx,
    heightPx: lanes.heightPx,
    plot: axis.plot,
    humidity: humidityLane(machine, board, { lane: lanes.humidity, axis }),
    inks: inks && { ...inks, ...inkLane(machine.inks, { ...axis, ...inks, scale: INK_SCALE }) },
    power: { ...lanes.power, ...powerLane(machine, { ...axis, ...letters }) },
    bottle: bottleLane(machine, lanes.bottle, axis),
  }
}

function humidityLane(
  { humidity: { runs, nowPct, limitPct }, night }: MachineView,
  board: BoardView,
  { lane, axis }: { lane: Lane; axis: Axis },
): StripGeometry['humidity'] {
  const frame = { ...axis, ...lane, scale: humidityScale(board.machines) }
  return {
    ...lane,
    ...valueLane({ runs, now: nowPct, limit: limitPct, badSide: 'below' }, frame),
    ribbon: ribbonOf(night?.humidityPct ?? [], frame, nowPct),
  }
}

function bottleLane({ bottle }: MachineView, lane: Lane | null, axis: Axis): StripGeometry['bottle'] {
  if (!bottle || !lane) return null
  const frame = { ...axis, ...lane, scale: [0, 100] as const }
  const { runs, fillPct, nearPct, fullPct, ahead, reachesFull } = bottle
  return {
    ...lane,
    ...valueLane({ runs, now: fillPct, limit: nearPct, badSide: 'above' }, frame),
    ribbon: ribbonOf(ahead, frame, fillPct),
    fullY: yOf(fullPct, frame),
    reachesFull: crossingAhead(reachesFull, axis.window, axis.plot),
  }
}
