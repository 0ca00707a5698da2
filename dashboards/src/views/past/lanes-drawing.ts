import type { HistoryView, MachineHistory } from '../../../../services/core/model/history-view.ts'
import type { MachineDoing } from '../../../../services/core/model/quarter.ts'
import { lanesOf, type LaneMark, type MarkShape, type RibbonPiece } from '../../past/lanes.ts'
import type { PastWindow } from '../../past/window.ts'
import { xAt } from '../../past/window.ts'
import type { Paint } from './paint.ts'
import { fontOf, type Sheet } from './track-plot.ts'

/** Lanes from the top, in rem: where each begins, and how high it is. */
export const LANES = {
  power: { name: 'Power', top: 0.2, height: 1.5 },
  alarms: { name: 'Alarms', top: 2, height: 0.9 },
  checks: { name: 'Checks', top: 3.1, height: 0.9 },
  cares: { name: 'Logbook', top: 4.2, height: 0.9 },
  tasks: { name: 'Tasks', top: 5.3, height: 0.9 },
} as const
export const LANES_HEIGHT_REM = 6.4

export interface LanesDrawn {
  readonly view: HistoryView
  /** Null: what belongs to no machine shown. */
  readonly machine: MachineHistory | null
  readonly window: PastWindow
}

/** Draws a machine's ribbon and marks on a canvas of the sheet's width. */
export function drawLanes(canvas: HTMLCanvasElement, drawn: LanesDrawn, sheet: Sheet): void {
  const { widthPx, gutterPx, rightPx, remPx, paint, closed } = sheet
  const ratio = devicePixelRatio
  const heightPx = LANES_HEIGHT_REM * remPx
  canvas.width = Math.round(widthPx * ratio)
  canvas.height = Math.round(heightPx * ratio)
  canvas.style.width = `${widthPx}px`
  canvas.style.height = `${heightPx}px`
  const ctx = canvas.getContext('2d')
  if (!ctx) return
  ctx.scale(ratio, ratio)
  const plot = { left: gutterPx, width: widthPx - gutterPx - rightPx }
  const { window } = drawn
  ctx.fillStyle = paint.closed
  for (const { fromMs, toMs } of closed) {
    const from = Math.max(plot.left, xAt(fromMs, window, plot))
    const to = Math.min(plot.left + plot.width, xAt(toMs, window, plot))
    if (to > from) ctx.fillRect(from, 0, to - from, heightPx)
  }
  nameLanes(ctx, plot, sheet, drawn.machine !== null)
  const power = { top: LANES.power.top * remPx, height: LANES.power.height * remPx }
  const lanes = lanesOf(drawn.view, drawn.machine, { window, plot, heightPx: power.height })
  ctx.save()
  ctx.beginPath()
  ctx.rect(plot.left, 0, plot.width, heightPx)
  ctx.clip()
  for (const piece of lanes.ribbon) drawPiece(ctx, piece, power, paint)
  const alarms = LANES.alarms
  for (const { x, width } of lanes.alarms) {
    ctx.fillStyle = paint.ink
    ctx.fillRect(x, (alarms.top + 0.25) * remPx, width, 0.45 * remPx)
  }
  const rows = [
    [lanes.checks, LANES.checks],
    [lanes.cares, LANES.cares],
    [lanes.tasks, LANES.tasks],
  ] as const
  for (const [marks, lane] of rows)
    for (const mark of marks)
      drawMark(ctx, mark, { y: (lane.top + lane.height / 2) * remPx, size: 0.32 * remPx, paint })
  ctx.restore()
}

function nameLanes(
  ctx: CanvasRenderingContext2D,
  plot: { left: number; width: number },
  { paint, remPx }: Sheet,
  hasPower: boolean,
): void {
  ctx.font = fontOf(paint, 0.8125 * remPx)
  ctx.textBaseline = 'middle'
  ctx.strokeStyle = paint.hair
  for (const lane of Object.values(LANES)) {
    if (lane === LANES.power && !hasPower) continue
    const y = (lane.top + lane.height / 2) * remPx
    ctx.fillStyle = paint.soft
    ctx.fillText(lane.name, 0, y)
    if (lane === LANES.power) continue
    ctx.beginPath()
    ctx.moveTo(plot.left, Math.round(y) + 0.5)
    ctx.lineTo(plot.left + plot.width, Math.round(y) + 0.5)
    ctx.stroke()
  }
}

/** Printing full, cleaning striped, on and waiting ever lighter, off an empty frame, not known hatched. */
function drawPiece(
  ctx: CanvasRenderingContext2D,
  { doing, x, width, top, height }: RibbonPiece,
  lane: { top: number; height: number },
  paint: Paint,
): void {
  const y = lane.top + top * lane.height
  const h = height * lane.height
  // Whole pixels, or seams show between the pieces.
  const left = Math.round(x)
  const wide = Math.max(1, Math.round(x + width) - left)
  ctx.globalAlpha = ALPHA[doing]
  ctx.fillStyle = doing === 'off' ? paint.paper : doing === 'unknown' ? paint.hair : paint.power
  ctx.fillRect(left, y, wide, h)
  ctx.globalAlpha = 1
  if (doing === 'off') {
    ctx.fillStyle = paint.ink
    ctx.fillRect(left, y, wide, Math.min(1.25, h))
    ctx.fillRect(left, y + h - Math.min(1.25, h), wide, Math.min(1.25, h))
  }
  if (doing === 'cleaning' || doing === 'unknown') stripes(ctx, { x: left, y, wide, h }, doing, paint)
}

const ALPHA: Readonly<Record<MachineDoing, number>> = {
  printing: 1,
  cleaning: 0.35,
  on: 0.6,
  standby: 0.35,
  off: 1,
  unknown: 0.6,
}

/** Upright stripes for cleaning, slanted ones for what nobody knows. */
function stripes(
  ctx: CanvasRenderingContext2D,
  { x, y, wide, h }: { x: number; y: number; wide: number; h: number },
  doing: MachineDoing,
  paint: Paint,
): void {
  ctx.save()
  ctx.beginPath()
  ctx.rect(x, y, wide, h)
  ctx.clip()
  ctx.strokeStyle = doing === 'cleaning' ? paint.power : paint.soft
  ctx.lineWidth = doing === 'cleaning' ? 1.5 : 0.75
  const step = doing === 'cleaning' ? 4 : 6
  const lean = doing === 'cleaning' ? 0 : h
  ctx.beginPath()
  for (let at = Math.floor(x / step) * step - lean; at < x + wide; at += step) {
    ctx.moveTo(at, y + h)
    ctx.lineTo(at + lean, y)
  }
  ctx.stroke()
  ctx.restore()
}

const DRAWN: Readonly<
  Record<MarkShape, { readonly isFilled: boolean; readonly points: readonly number[] | null }>
> = {
  /** A ring. */
  clear: { isFilled: false, points: null },
  /** A full triangle, its tip up. */
  missing: { isFilled: true, points: [-1.1, 0.9, 0, -1.1, 1.1, 0.9] },
  /** A wedge, its tip down, as on the board. */
  cleaning: { isFilled: false, points: [-1, -0.9, 0, 1, 1, -0.9] },
  entry: { isFilled: true, points: [-0.8, -0.8, 0.8, -0.8, 0.8, 0.8, -0.8, 0.8] },
  done: { isFilled: false, points: [-0.8, -0.8, 0.8, -0.8, 0.8, 0.8, -0.8, 0.8] },
  missed: { isFilled: true, points: [0, -1.1, 1.1, 0, 0, 1.1, -1.1, 0] },
}

function drawMark(
  ctx: CanvasRenderingContext2D,
  { x, shape }: LaneMark,
  { y, size, paint }: { y: number; size: number; paint: Paint },
): void {
  const { isFilled, points } = DRAWN[shape]
  ctx.beginPath()
  if (points === null) ctx.arc(x, y, size, 0, 2 * Math.PI)
  else
    for (let i = 0; i < points.length; i += 2) {
      ctx.lineTo(x + (points[i] ?? 0) * size, y + (points[i + 1] ?? 0) * size)
    }
  ctx.closePath()
  ctx.lineWidth = 1.5
  ctx.fillStyle = isFilled ? paint.ink : paint.paper
  ctx.strokeStyle = isFilled ? paint.ink : paint.trace
  ctx.fill()
  ctx.stroke()
}
