import { gapsOf, runsToNow, spansOfRuns, type Point, type Run } from './gaps.ts'
import { rounded, stretchOf, xOf, type PlotWidth, type Stretch, type TimeWindow } from './time-axis.ts'

/** A band of a strip in which values run along a scale: humidity, or the bottle. */
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
  /** What lies between the limit and the line where the line is below it. */
  readonly below: readonly string[]
  readonly gaps: readonly Stretch[]
  readonly limitY: number
  /** Where the value of now stands; null when it is not known. */
  readonly endY: number | null
}

export interface LaneValues {
  readonly runs: readonly Run[]
  readonly now: number | null
  readonly limit: number
}

export function valueLane({ runs, now, limit }: LaneValues, frame: LaneFrame): ValueLane {
  const { window, plot } = frame
  const shown = runsToNow(runs, now, window.toMs)
    .map((run) => cutRun(run, window))
    .filter((run) => run.length > 0)
  const limitY = yOf(limit, frame)
  return {
    lines: shown.map((run) => linePath(run, frame)),
    areas: shown.map((run) => areaPath(run, frame, frame.top + frame.height)),
    below: shown.flatMap((run) => splitBelow(run, limit)).map((piece) => areaPath(piece, frame, limitY)),
    gaps: gapsOf(spansOfRuns(shown), window, now !== null).flatMap(
      (gap) => stretchOf(gap, window, plot) ?? [],
    ),
    limitY,
    endY: now === null ? null : yOf(now, frame),
  }
}

export function yOf(value: number, { scale: [low, high], top, height }: LaneFrame): number {
  const share = (Math.min(Math.max(value, low), high) - low) / Math.max(Number.EPSILON, high - low)
  return rounded(top + height - share * height)
}

function linePath(run: Run, frame: LaneFrame): string {
  const only = run[0]
  // A single reading between two gaps would be a line of no length: a short dash shows that it was there.
  if (run.length === 1 && only) return `${place(only, frame, 'M')}h1.5`
  return run.map((point, at) => place(point, frame, at === 0 ? 'M' : 'L')).join('')
}

function areaPath(run: Run, frame: LaneFrame, baseY: number): string {
  const x = (point: Point | undefined): number => xOf(point?.[0] ?? 0, frame.window, frame.plot)
  const top = run.map((point) => place(point, frame, 'L')).join('')
  return `M${x(run[0])} ${rounded(baseY)}${top}L${x(run.at(-1))} ${rounded(baseY)}Z`
}

function place([atMs, value]: Point, frame: LaneFrame, letter: 'M' | 'L'): string {
  return `${letter}${xOf(atMs, frame.window, frame.plot)} ${yOf(value, frame)}`
}

/** What of a run lies in the window. Points outside would pile up at its edge. */
function cutRun(run: Run, { fromMs, toMs }: TimeWindow): Run {
  return run.filter(([atMs]) => atMs >= fromMs && atMs <= toMs)
}

/** The pieces of a run below a limit, each beginning and ending where the line crosses it. */
export function splitBelow(run: Run, limit: number): readonly Run[] {
  const pieces: Point[][] = []
  let piece: Point[] | null = null
  let before: Point | null = null
  for (const point of run) {
    const isBelow = point[1] < limit
    const crossing = before && before[1] < limit !== isBelow ? [crossingOf(before, point, limit)] : []
    if (isBelow && !piece) pieces.push((piece = []))
    piece?.push(...crossing)
    if (isBelow) piece?.push(point)
    else piece = null
    before = point
  }
  return pieces
}

function crossingOf(a: Point, b: Point, limit: number): Point {
  const share = (limit - a[1]) / (b[1] - a[1])
  return [a[0] + share * (b[0] - a[0]), limit]
}
