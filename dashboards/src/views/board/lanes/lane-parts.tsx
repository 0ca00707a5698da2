import type { ComponentChildren } from 'preact'
import type { MachineView } from '../../../../../services/core/model/views.ts'
import type { Crossing, Ribbon } from '../../../strip/ahead.ts'
import type { Lane } from '../../../strip/lane-layout.ts'
import { laneStanding, type LaneName } from '../../../strip/lane-of-condition.ts'
import type { StripGeometry } from '../../../strip/strip-geometry.ts'
import type { PlotWidth, Stretch } from '../../../strip/time-axis.ts'

/** What every lane is drawn from. */
export interface Drawn {
  readonly machine: MachineView
  readonly geometry: StripGeometry
  readonly remPx: number
  readonly names: 'beside' | 'above'
}

/** A lane's group; it takes the signal colour when the alarm is about it. */
export function LaneGroup({
  machine,
  lane,
  children,
}: {
  machine: MachineView
  lane: LaneName
  children: ComponentChildren
}) {
  const standing = laneStanding(machine, lane)
  return <g class={standing === 'calm' ? 'lane' : `lane lane-${standing}`}>{children}</g>
}

/** The lane's name, and what is so now: below it beside the plot, or after it above the plot. */
export function LaneHead({
  lane,
  name,
  now,
  isKnown,
  rest = '',
  drawn: { names, remPx },
}: {
  lane: Lane
  name: string
  now: string
  isKnown: boolean
  /** On a phone, where limits have no place beside the plot. */
  rest?: string
  drawn: Drawn
}) {
  const nowClass = isKnown ? 'lane-now' : 'lane-name'
  if (names === 'beside') {
    return (
      <>
        <text class="lane-name" x={0} y={lane.nameY}>
          {name}
        </text>
        <text class={nowClass} x={0} y={lane.nameY + 1.1 * remPx}>
          {now}
        </text>
      </>
    )
  }
  return (
    <text class="lane-name" x={1} y={lane.nameY}>
      {`${name} `}
      <tspan class={nowClass}>{now}</tspan>
      {rest && `, ${rest}`}
    </text>
  )
}

/** A limit's line over the whole strip, with its number at the right where there is room. */
export function Limit({
  y,
  label,
  labelDy = 0,
  kind = 'near',
  plot,
  drawn: { names, remPx },
}: {
  y: number
  label: string
  labelDy?: number
  kind?: 'near' | 'full'
  plot: PlotWidth
  drawn: Drawn
}) {
  return (
    <>
      <path class={kind === 'full' ? 'full-line' : 'limit-line'} d={`M${plot.left} ${y}H${plot.right}`} />
      {names === 'beside' && (
        <text class="lane-limit" x={plot.right + 0.4 * remPx} y={y + (0.28 + labelDy) * remPx}>
          {label}
        </text>
      )}
    </>
  )
}

/** The hours ahead: eight of ten nights stay within the band, and half of them on either side of the dashes. */
export function Forecast({
  ribbon,
  line,
}: {
  ribbon: Ribbon | null
  line: 'air' | 'colour' | 'white' | 'bottle'
}) {
  if (!ribbon) return null
  return (
    <>
      <path class={`band band-${line}`} d={ribbon.band} />
      <path class={`ahead-line ahead-${line}`} d={ribbon.line} />
      {line === 'white' && <path class="ahead-line white-core" d={ribbon.line} />}
    </>
  )
}

/** When a limit is reached: from the earliest to the latest along it, and the likely time as a bar across. */
export function Reached({ crossing, y, remPx }: { crossing: Crossing | null; y: number; remPx: number }) {
  if (!crossing) return null
  const { fromX, likelyX, toX } = crossing
  const end = 0.18 * remPx
  const bar = 0.38 * remPx
  const ends = `M${fromX} ${y - end}v${2 * end}M${fromX} ${y}H${toX}M${toX} ${y - end}v${2 * end}`
  return (
    <>
      <path class="reached" d={ends} />
      {likelyX !== null && <path class="reached-likely" d={`M${likelyX} ${y - bar}v${2 * bar}`} />}
    </>
  )
}

/** Gaps are hatched and named: a line is never drawn across what nobody measured. */
export function Gaps({
  gaps,
  lane,
  id,
  remPx,
}: {
  gaps: readonly Stretch[]
  lane: Lane
  id: string
  remPx: number
}) {
  return (
    <>
      {gaps.map(({ x, width }) => (
        <>
          <rect x={x} y={lane.top} width={width} height={lane.height} fill={`url(#hatch-${id})`} />
          {width > 5.5 * remPx && lane.height > remPx && (
            <text class="gap-word" x={x + width / 2} y={lane.top + lane.height / 2 + 0.25 * remPx}>
              no readings
            </text>
          )}
        </>
      ))}
    </>
  )
}
