import type { MachineView } from '../../../services/core/model/views.ts'
import type { Point } from './gaps.ts'
import { xOf, type PlotWidth, type TimeWindow } from './time-axis.ts'
import { linePath, place, type LaneFrame } from './value-lane.ts'

type InkView = MachineView['inks'][number]
export type BandPoint = InkView['ahead'][number]
export type Band = readonly BandPoint[]
/** When something ahead happens: earliest, likely, latest; null is not within the forecast. */
export type AheadTime = NonNullable<InkView['passesLimit']>

/** A forecast on a lane: its middle as a line, its interval as a band around it. */
export interface Ribbon {
  readonly line: string
  readonly band: string
}

/** Where on the time axis a limit will be reached, in px; an end that lies beyond the strip is at its edge. */
export interface Crossing {
  readonly fromX: number
  readonly likelyX: number | null
  readonly toX: number
}

/**
 * The part of a forecast between now and the strip's end. It was made a while ago and on its own grid, so its ends
 * are taken from the points around them; where the grid begins after now it is drawn from the value of now.
 */
export function bandAhead(band: Band, { nowMs, toMs }: TimeWindow, now: number | null): Band {
  const inside = band.filter(([atMs]) => atMs > nowMs && atMs < toMs)
  const first = bandAt(band, nowMs) ?? (now === null ? null : ([nowMs, now, now, now] as const))
  const last = bandAt(band, toMs)
  const cut = [...(first ? [first] : []), ...inside, ...(last ? [last] : [])]
  return cut.length < 2 ? [] : cut.map(([at, a, b, c]) => [at, a, b, c])
}

export function ribbonOf(band: Band, frame: LaneFrame, now: number | null): Ribbon | null {
  const shown = bandAhead(band, frame.window, now)
  if (shown.length === 0) return null
  const middle = shown.map(([atMs, , middleOf]): Point => [atMs, middleOf])
  const upper = shown.map(([atMs, , , high]): Point => [atMs, high])
  const lower = shown.map(([atMs, low]): Point => [atMs, low]).reverse()
  const edge = [...upper, ...lower].map((point, at) => place(point, frame, at === 0 ? 'M' : 'L')).join('')
  return { line: linePath(middle, frame), band: `${edge}Z` }
}

/** null when it is not expected while the strip lasts. */
export function crossingAhead(time: AheadTime | null, window: TimeWindow, plot: PlotWidth): Crossing | null {
  const firstMs = time?.earliestMs ?? time?.likelyMs ?? null
  if (!time || firstMs === null || firstMs >= window.toMs) return null
  const { likelyMs, latestMs } = time
  return {
    fromX: xOf(Math.max(firstMs, window.nowMs), window, plot),
    likelyX: likelyMs === null || likelyMs > window.toMs ? null : xOf(likelyMs, window, plot),
    toX: xOf(latestMs ?? window.toMs, window, plot),
  }
}

/** The forecast at a point in time, straight between its neighbours; null outside it. */
export function bandAt(band: Band, atMs: number): BandPoint | null {
  const after = band.findIndex(([at]) => at >= atMs)
  const b = band[after]
  if (!b) return null
  if (b[0] === atMs) return b
  const a = band[after - 1]
  if (!a) return null
  const share = (atMs - a[0]) / (b[0] - a[0])
  const between = (from: number, to: number): number => from + (to - from) * share
  return [atMs, between(a[1], b[1]), between(a[2], b[2]), between(a[3], b[3])]
}
