import type { InkTrace } from '../../../strip/ink-lane.ts'
import { percentText } from '../../../words/quantity-text.ts'
import { Forecast, Gaps, LaneGroup, Limit, Reached, type Drawn } from './lane-parts.tsx'

/** Drying of the inks in percent of their limits: colour a full line, white a hollow one. */
export function InkLane(drawn: Drawn) {
  const { machine, geometry, remPx, names } = drawn
  const { inks, plot } = geometry
  if (!inks) return null
  return (
    <LaneGroup machine={machine} lane="ink">
      <text class="lane-name" x={names === 'above' ? 1 : 0} y={inks.nameY}>
        Drying
      </text>
      {inks.traces.map((trace, at) => (
        <InkKey trace={trace} drawn={drawn} {...keyPlace(at, inks.nameY, drawn)} />
      ))}
      {inks.traces.flatMap(({ past }) => past.map((d) => <path class="past-limit" d={d} />))}
      {inks.traces.map(({ ribbon, view }) => (
        <Forecast ribbon={ribbon} line={view.ink} />
      ))}
      <Limit y={inks.limitY} label="limit" plot={plot} drawn={drawn} />
      <Gaps gaps={inks.gaps} lane={inks} id={machine.id} remPx={remPx} />
      {inks.traces.map((trace) => (
        <InkLines trace={trace} />
      ))}
      {inks.traces.map(({ passes }) => (
        <Reached crossing={passes} y={inks.limitY} remPx={remPx} />
      ))}
    </LaneGroup>
  )
}

/** White is drawn as a line with a light core, so that the two can be told apart without their colour. */
function InkLines({ trace: { view, lines } }: { trace: InkTrace }) {
  return (
    <>
      {lines.map((d) => (
        <>
          <path class={`ink-line ink-${view.ink} ink-${view.basis}`} d={d} />
          {view.ink === 'white' && <path class="ink-line white-core" d={d} />}
        </>
      ))}
    </>
  )
}

/** Below the name beside the plot; after it above the plot. */
function keyPlace(at: number, nameY: number, { names, remPx }: Drawn): { x: number; y: number } {
  return names === 'beside'
    ? { x: 0, y: nameY + (at + 1) * 1.05 * remPx }
    : { x: (3.1 + at * 7.4) * remPx, y: nameY }
}

function InkKey({ trace, drawn, x, y }: { trace: InkTrace; drawn: Drawn; x: number; y: number }) {
  const { view } = trace
  const lineY = y - 0.3 * drawn.remPx
  const d = `M${x} ${lineY}h${0.9 * drawn.remPx}`
  const isKnown = view.basis !== 'unknown'
  return (
    <>
      <path class={`ink-line ink-${view.ink} ink-${view.basis}`} d={d} />
      {view.ink === 'white' && <path class="ink-line white-core" d={d} />}
      <text class="lane-name" x={x + 1.15 * drawn.remPx} y={y}>
        {`${view.ink} `}
        <tspan class={isKnown ? 'lane-now' : 'lane-name'}>{isKnown ? percentText(view.usedPct) : '?'}</tspan>
      </text>
    </>
  )
}
