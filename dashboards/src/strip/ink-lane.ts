import type { MachineView } from '../../../services/core/model/views.ts'
import { crossingAhead, ribbonOf, type Crossing, type Ribbon } from './ahead.ts'
import { valueLane, type LaneFrame, type ValueLane } from './value-lane.ts'

export type InkView = MachineView['inks'][number]

/** The top of the lane in percent of the limit. Ink off its cap goes far beyond: it is held at the edge. */
export const INK_SCALE = [0, 130] as const
const LIMIT_PCT = 100

/** One ink's line: the past, and the hours ahead. */
export interface InkTrace extends Pick<ValueLane, 'lines' | 'past' | 'endY'> {
  readonly view: InkView
  readonly ribbon: Ribbon | null
  readonly passes: Crossing | null
}

export interface InkLane {
  readonly traces: readonly InkTrace[]
  readonly limitY: number
  readonly gaps: ValueLane['gaps']
}

/** Of each kind of ink the group that dries furthest: more lines than two would tell less. */
export function driestInks(inks: readonly InkView[]): readonly InkView[] {
  return (['colour', 'white'] as const).flatMap((kind) => {
    const own = inks.filter((i) => i.ink === kind)
    return own.length === 0 ? [] : [own.reduce((a, b) => (furthestPct(b) > furthestPct(a) ? b : a))]
  })
}

/** How far an ink gets by the end of the forecast, or has got, in percent of its limit. */
export function furthestPct({ usedPct, ahead }: InkView): number {
  return Math.max(usedPct, ahead.at(-1)?.[2] ?? 0)
}

export function inkLane(inks: readonly InkView[], frame: LaneFrame): InkLane {
  const lanes = driestInks(inks).map((view) => {
    const values = { runs: view.runs, now: view.usedPct, limit: LIMIT_PCT, badSide: 'above' } as const
    return { view, lane: valueLane(values, frame) }
  })
  const traces = lanes.map(({ view, lane }): InkTrace => {
    const { lines, past, endY } = lane
    const ribbon = ribbonOf(view.ahead, frame, view.usedPct)
    return {
      view,
      lines,
      past,
      endY,
      ribbon,
      passes: crossingAhead(view.passesLimit, frame.window, frame.plot),
    }
  })
  // Drying is worked out and not read: where one ink has no line another may, and only where none has lies a gap.
  const first = lanes[0]?.lane
  const gaps = (first?.gaps ?? []).filter((gap) =>
    lanes.every(({ lane }) => lane.gaps.some((g) => g.x <= gap.x && g.x + g.width >= gap.x + gap.width)),
  )
  return { traces, limitY: first?.limitY ?? frame.top, gaps }
}
