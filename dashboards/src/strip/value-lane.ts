import { gapsOf, runsToNow, spansOfRuns, type Point, type Run } from './gaps.ts'
import { rounded, stretchOf, xOf, type PlotWidth, type Stretch, type TimeWindow } from './time-axis.ts'

/** A band of a strip in which values run along a scale: humidity, drying, or the bottle. */
export interface LaneFrame {
  readonly window: TimeWindow
  readonly plot: PlotWidth
  readonly top: number
  readonly height: number
  /** Values at the bottom and at the top of the lane. */
  readonly scale: readonly [low: number, high: number]
}

export interface ValueLane {
  /** SVG paths, one a run. */
  readonly lines: readonly string[]
  /** The same runs closed down to the bottom of the lane. */
  readonly areas: readonly string[]
  /** What lies between the limit and the line where the line is on the wrong side of it. */
  readonly past: readonly string[]
  readonly gaps: readonly Stretch[]
  readonly limitY: number
  /** Where the value of now stands; null when it is not known. */
  readonly endY: number | null
}

export interface LaneValues {
  readonly runs: readonly Run[]
  readonly now: number | null
  readonly limit: number
  /** The side of the limit that is trouble. */
  readonly badSide: 'below' | 'above'
}

export function valueLane({ runs, now, limit, badSide }: LaneValues, frame: LaneFrame): ValueLane {
  const { window, plot } = frame
  const shown = runsToNow(runs, now, window.nowMs)
    .map((run) => cutRun(run, window))
    .filter((run) => run.length > 0)
  const limitY = yOf(limit, frame)
  const past = { fromMs: window.fromMs, toMs: window.nowMs }
  return {
    lines: shown.map((run) => linePath(run, frame)),
    areas: shown.map((run) => areaPath(run, frame, frame.top + frame.height)),
    past: shown.flatMap((run) => splitAt(run, limit, badSide)).map((piece) => areaPath(piece, frame, limitY)),
    gaps: gapsOf(spansOfRuns(shown), past, now !== null).flatMap((gap) => stretchOf(gap, window, plot) ?? []),
    limitY,
    endY: now === null ? null : yOf(now, frame),
  }
}

export function yOf(value: number, { scale: [low, high], top, height }: LaneFrame): number {
  const share = (Math.min(Math.max(value, low), high) - low) / Math.max(Number.EPSILON, high - low)
  return rounded(top + height - share * height)
}

export function linePath(run: Run, frame: LaneFrame): string {
  const only = run[0]
  // A single reading between two gaps would be a line of no length: a short dash shows that it was there.
  if (run.length === 1 && only) return `${place(only, frame, 'M')}h1.5`
  return run.map((point, at) => place(point, frame, at === 0 ? 'M' : 'L')).join('')
}

export function place([atMs, value]: Point, frame: LaneFrame, letter: 'M' | 'L'): string {
  return `${letter}${xOf(atMs, frame.window, frame.plot)} ${yOf(value, frame)}`
}

function areaPath(run: Run, frame: LaneFrame, baseY: number): string {
  const x = (point: Point | undefined): number => xOf(point?.[0] ?? 0, frame.window, frame.plot)
  const top = run.map((point) => place(point, frame, 'L')).join('')
  return `M${x(run[0])} ${rounded(baseY)}${top}L${x(run.at(-1))} ${rounded(baseY)}Z`
}

/** What of a run lies in the past that is shown. Points outside would pile up at its edge. */
function cutRun(run: Run, { fromMs, nowMs }: TimeWindow): Run {
  return run.filter(([atMs]) => atMs >= fromMs && atMs <= nowMs)
}

/** The pieces of a run on one side of a limit, each beginning and ending where the line crosses it. */
export function splitAt(run: Run, limit: number, side: 'below' | 'above'): readonly Run[] {
  const isIn = (point: Point): boolean => (side === 'below' ? point[1] < limit : point[1] > limit)
  const pieces: Point[][] = []
  let piece: Point[] | null = null
  let before: Point | null = null
  for (const point of run) {
    const inside = isIn(point)
    const crossing = before && isIn(before) !== inside ? [crossingOf(before, point, limit)] : []
    if (inside && !piece) pieces.push((piece = []))
    piece?.push(...crossing)
    if (inside) piece?.push(point)
    else piece = null
    before = point
  }
  return pieces
}

function crossingOf(a: Point, b: Point, limit: number): Point {
  const share = (limit - a[1]) / (b[1] - a[1])
  return [a[0] + share * (b[0] - a[0]), limit]
}
