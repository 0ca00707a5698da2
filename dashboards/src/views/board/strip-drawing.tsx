import type { MachineView } from '../../../../services/core/model/views.ts'
import type { Lane, StripGeometry } from '../../strip/strip-geometry.ts'
import type { Stretch } from '../../strip/time-axis.ts'
import { humidityText } from '../../words/quantity-text.ts'

interface Drawn {
  readonly machine: MachineView
  readonly geometry: StripGeometry
  readonly remPx: number
  readonly names: 'beside' | 'above'
}

/** The strip itself: humidity, power and bottle over one time axis. Read out as `summary`. */
export function StripDrawing({ summary, ...drawn }: Drawn & { summary: string }) {
  const { widthPx, heightPx } = drawn.geometry
  return (
    <svg
      class="strip"
      role="img"
      aria-label={summary}
      width={widthPx}
      height={heightPx}
      viewBox={`0 0 ${widthPx} ${heightPx}`}
    >
      <Hatch id={drawn.machine.id} />
      <AirLane {...drawn} />
      <PowerLane {...drawn} />
      <BottleLane {...drawn} />
    </svg>
  )
}

function AirLane({ machine, geometry, remPx, names }: Drawn) {
  const { humidity: air, plot } = geometry
  const { limitPct, nowPct } = machine.humidity
  const isAlarmed = machine.alarm?.condition === 'airDry'
  const nameAtFoot = air.limitY < air.top + 1.6 * remPx
  return (
    <g class={isAlarmed ? `lane lane-${machine.standing}` : 'lane'}>
      <LaneName lane={nameAtFoot ? { ...air, nameY: air.top + air.height } : air} names={names}>
        {names === 'above' ? `Air, limit ${limitPct} %RH` : 'Air'}
      </LaneName>
      {names === 'beside' && (
        <text class="lane-limit" x={plot.left - 0.5 * remPx} y={air.limitY + 0.25 * remPx}>
          {`${limitPct} %RH`}
        </text>
      )}
      <path class="limit-line" d={`M${plot.left} ${air.limitY}H${plot.right}`} />
      {air.below.map((d) => (
        <path class="air-dry" d={d} />
      ))}
      {air.lines.map((d) => (
        <path class="air-line" d={d} />
      ))}
      <Gaps gaps={air.gaps} lane={air} id={machine.id} remPx={remPx} />
      {air.endY === null ? (
        <text class="lane-name" y={air.top + air.height / 2}>
          <tspan x={plot.right + 0.6 * remPx}>no</tspan>
          <tspan x={plot.right + 0.6 * remPx} dy={remPx}>
            readings
          </tspan>
        </text>
      ) : (
        <>
          <circle class="air-end" cx={plot.right} cy={air.endY} r={0.2 * remPx} />
          <text class="lane-now" x={plot.right + 0.6 * remPx} y={air.endY + 0.3 * remPx}>
            {humidityText(nowPct)}
          </text>
        </>
      )}
    </g>
  )
}

function PowerLane({ machine, geometry, remPx, names }: Drawn) {
  const { power, plot } = geometry
  const isAlarmed = machine.alarm?.condition === 'powerLost'
  const { now } = machine.power
  return (
    <g class={isAlarmed ? `lane lane-${machine.standing}` : 'lane'}>
      <LaneName lane={power} names={names}>
        Power
      </LaneName>
      {power.bars.map(({ x, width, state }) => (
        <rect
          class={`power-${state}`}
          x={state === 'off' ? x + 0.75 : x}
          y={state === 'off' ? power.top + 0.75 : power.top}
          width={Math.max(1.5, width - (state === 'off' ? 1.5 : 0))}
          height={power.height - (state === 'off' ? 1.5 : 0)}
        />
      ))}
      <Gaps gaps={power.gaps} lane={power} id={machine.id} remPx={remPx} />
      {power.notes.map(({ x, text }) => (
        <text class="power-note" x={x} y={power.top + power.height + 0.85 * remPx}>
          {text}
        </text>
      ))}
      <text
        class={now === 'unknown' ? 'lane-name' : 'lane-now'}
        x={plot.right + 0.6 * remPx}
        y={power.top + 0.6 * remPx}
      >
        {now === 'unknown' ? 'not known' : now}
      </text>
    </g>
  )
}

function BottleLane({ machine, geometry, remPx, names }: Drawn) {
  const { bottle, plot } = geometry
  if (!bottle || !machine.bottle) return null
  const isAlarmed = machine.alarm?.condition === 'bottleNear'
  const { nearPct } = machine.bottle
  return (
    <g class={isAlarmed ? `lane lane-${machine.standing}` : 'lane'}>
      <LaneName lane={bottle} names={names}>
        {names === 'above' ? `Bottle, mark at ${nearPct} %` : 'Bottle'}
      </LaneName>
      {names === 'beside' && (
        <text class="lane-limit" x={plot.left - 0.5 * remPx} y={bottle.limitY + 0.25 * remPx}>
          {`${nearPct} %`}
        </text>
      )}
      {bottle.areas.map((d) => (
        <path class="bottle-area" d={d} />
      ))}
      {bottle.lines.map((d) => (
        <path class="bottle-line" d={d} />
      ))}
      <path class="limit-line" d={`M${plot.left} ${bottle.limitY}H${plot.right}`} />
      <Gaps gaps={bottle.gaps} lane={bottle} id={machine.id} remPx={remPx} />
    </g>
  )
}

function LaneName({ lane, names, children }: { lane: Lane; names: 'beside' | 'above'; children: string }) {
  return (
    <text class="lane-name" x={names === 'above' ? 2 : 0} y={lane.nameY}>
      {children}
    </text>
  )
}

/** Gaps are hatched and named: a line is never drawn across what nobody measured. */
function Gaps({
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

function Hatch({ id }: { id: string }) {
  return (
    <defs>
      <pattern id={`hatch-${id}`} width="6" height="6" patternUnits="userSpaceOnUse">
        <path class="hatch" d="M-1 7 7-1M-1 1 1-1M5 7 7 5" />
      </pattern>
    </defs>
  )
}
