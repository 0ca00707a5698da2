import uPlot from 'uplot'
import { AXIS_FORMS, AXIS_STEPS_MS } from '../../past/axis.ts'
import { isolatedIn, joined } from '../../past/joined.ts'
import type { Track, TrackLine } from '../../past/tracks.ts'
import type { PastWindow } from '../../past/window.ts'
import type { Paint } from './paint.ts'

/** How a picture lies on the page: all tracks share it, so that one time stands in one line through them all. */
export interface Sheet {
  readonly paint: Paint
  readonly timeZone: string
  /** Of the page's letters, px. */
  readonly remPx: number
  readonly widthPx: number
  /** Left of the plot, for the scales and the names of lanes. */
  readonly gutterPx: number
  readonly rightPx: number
  readonly closed: readonly PastWindow[]
}

/** Full, dashed, dotted, and what can still be told from those. */
export const DASHES: readonly number[][] = [[], [7, 4], [2, 3], [10, 3, 2, 3], [4, 2, 4, 6]]
/** An edge of a band is fainter than its line. */
const EDGE_ALPHA = 'a6'
const BAND_ALPHA = '2e'

/** One track on its canvas: bands from lowest to highest, the mean in each, limits, nights. */
export function makeTrackPlot(track: Track, window: PastWindow, sheet: Sheet, at: HTMLElement): uPlot {
  const { paint } = sheet
  const grid = track.lines[0]?.grid ?? { startsMs: [], widthMs: 1 }
  const columns = track.lines.map((line) => ({
    low: joined(line.band.low, line.grid, line.quietMs),
    high: joined(line.band.high, line.grid, line.quietMs),
    mean: joined(line.band.mean, line.grid, line.quietMs),
  }))
  const data: uPlot.AlignedData = [
    grid.startsMs.map((startMs) => startMs + grid.widthMs / 2),
    ...columns.flatMap(({ low, high, mean }) => [low, high, mean]),
  ]
  const options: uPlot.Options = {
    ...shared(sheet),
    height: Math.round(6 * sheet.remPx),
    // Half a letter above and below: a number at the edge of the scale is not cut in two.
    padding: [Math.round(0.5 * sheet.remPx), sheet.rightPx, Math.round(0.4 * sheet.remPx), 0],
    scales: { x: timeScale(window), y: { auto: false, range: [track.scale.min, track.scale.max] } },
    axes: [timeAxis(sheet, false), valueAxis(track, sheet)],
    series: [{}, ...track.lines.flatMap((line, i) => seriesOf(line, i, paint))],
    bands: track.lines.map((_, i) => ({
      series: [3 * i + 2, 3 * i + 1],
      fill: paint.trace + BAND_ALPHA,
    })),
    hooks: {
      drawClear: [(plot) => shadeNights(plot, sheet)],
      draw: [(plot) => drawLimits(plot, track, sheet)],
    },
  }
  return new uPlot(options, data, at)
}

/** The time axis alone, above all tracks. */
export function makeAxisPlot(window: PastWindow, sheet: Sheet, at: HTMLElement): uPlot {
  const options: uPlot.Options = {
    ...shared(sheet),
    height: Math.round(2.7 * sheet.remPx) + 2,
    padding: [0, sheet.rightPx, 0, 0],
    scales: { x: timeScale(window), y: { auto: false, range: [0, 1] } },
    axes: [timeAxis(sheet, true), { ...valueGutter(sheet), values: () => [] }],
    series: [{}],
  }
  return new uPlot(options, [[window.fromMs, window.toMs]], at)
}

function shared({ timeZone, widthPx }: Sheet) {
  return {
    width: widthPx,
    ms: 1,
    tzDate: (atMs: number) => uPlot.tzDate(new Date(atMs), timeZone),
    cursor: { show: false },
    legend: { show: false },
    select: { show: false, left: 0, top: 0, width: 0, height: 0 },
  } as const
}

function timeScale({ fromMs, toMs }: PastWindow): uPlot.Scale {
  return { time: true, auto: false, min: fromMs, max: toMs }
}

function timeAxis({ paint, remPx }: Sheet, isWritten: boolean): uPlot.Axis {
  return {
    side: 2,
    size: isWritten ? Math.round(2.7 * remPx) : 0,
    gap: 2,
    space: 5.2 * remPx,
    incrs: AXIS_STEPS_MS,
    stroke: paint.soft,
    font: fontOf(paint, 0.8125 * remPx),
    lineGap: 1.2,
    grid: { stroke: paint.hair, width: 1 },
    ticks: isWritten ? { stroke: paint.line, width: 1, size: 4 } : { show: false },
    values: isWritten ? AXIS_FORMS : () => [],
  }
}

function valueGutter({ paint, gutterPx, remPx }: Sheet): uPlot.Axis {
  return {
    side: 3,
    size: gutterPx,
    gap: 4,
    stroke: paint.soft,
    font: fontOf(paint, 0.8125 * remPx),
    grid: { show: false },
    ticks: { show: false },
  }
}

function valueAxis(track: Track, sheet: Sheet): uPlot.Axis {
  const { paint, remPx } = sheet
  return {
    ...valueGutter(sheet),
    space: 1.4 * remPx,
    grid: { stroke: paint.hair, width: 1 },
    values: (_, splits) => splits.map((v) => String(Number(v.toFixed(Math.max(track.digits, 1))))),
  }
}

function seriesOf({ band, grid, quietMs }: TrackLine, index: number, paint: Paint): uPlot.Series[] {
  const edge: uPlot.Series = {
    stroke: paint.trace + EDGE_ALPHA,
    width: 1,
    points: { show: false },
  }
  const alone = isolatedIn(joined(band.mean, grid, quietMs))
  return [
    edge,
    edge,
    {
      stroke: paint.trace,
      width: 2,
      dash: [...(DASHES[index % DASHES.length] ?? [])],
      points: {
        show: alone.length > 0,
        size: 5,
        width: 1,
        fill: paint.trace,
        stroke: paint.trace,
        filter: alone,
      },
    },
  ]
}

function shadeNights(plot: uPlot, { closed, paint }: Sheet): void {
  const { ctx, bbox } = plot
  ctx.save()
  ctx.fillStyle = paint.closed
  for (const { fromMs, toMs } of closed) {
    const from = Math.max(bbox.left, plot.valToPos(fromMs, 'x', true))
    const to = Math.min(bbox.left + bbox.width, plot.valToPos(toMs, 'x', true))
    if (to > from) ctx.fillRect(from, bbox.top, to - from, bbox.height)
  }
  ctx.restore()
}

/**
 * A limit is a dotted line with its name at the right, above it, or below where it lies at the upper edge. Where two lie
 * close, the names stand side by side and both on the same side of their lines, so that neither reads as the other's.
 */
function drawLimits(plot: uPlot, { limits, scale }: Track, { paint, remPx }: Sheet): void {
  const { ctx, bbox } = plot
  const ratio = devicePixelRatio
  const right = bbox.left + bbox.width - 4 * ratio
  let taken = { y: -Infinity, x: right, isAbove: true }
  ctx.save()
  ctx.font = fontOf(paint, 0.75 * remPx * ratio)
  ctx.textAlign = 'right'
  ctx.fillStyle = paint.soft
  for (const { value, label } of [...limits].sort((a, b) => b.value - a.value)) {
    if (value < scale.min || value > scale.max) continue
    const y = plot.valToPos(value, 'y', true)
    stroke(ctx, { from: bbox.left, to: bbox.left + bbox.width, y, ratio, colour: paint.soft })
    const hasRoom = y - bbox.top > remPx * ratio
    const isAbove = hasRoom && (taken.isAbove || y - taken.y > 2 * remPx * ratio)
    const textY = y + (isAbove ? -1 : 2) * ratio
    const x = Math.abs(textY - taken.y) < remPx * ratio ? taken.x : right
    ctx.textBaseline = isAbove ? 'bottom' : 'top'
    ctx.lineWidth = 3 * ratio
    ctx.strokeStyle = paint.paper
    ctx.strokeText(label, x, textY)
    ctx.fillText(label, x, textY)
    taken = { y: textY, x: x - ctx.measureText(label).width - 12 * ratio, isAbove }
  }
  ctx.restore()
}

function stroke(
  ctx: CanvasRenderingContext2D,
  { from, to, y, ratio, colour }: { from: number; to: number; y: number; ratio: number; colour: string },
): void {
  ctx.save()
  ctx.strokeStyle = colour
  ctx.lineWidth = ratio
  ctx.setLineDash([2 * ratio, 4 * ratio])
  ctx.beginPath()
  ctx.moveTo(from, y)
  ctx.lineTo(to, y)
  ctx.stroke()
  ctx.restore()
}

export function fontOf({ family }: Paint, sizePx: number): string {
  return `${Math.round(sizePx)}px ${family}`
}
