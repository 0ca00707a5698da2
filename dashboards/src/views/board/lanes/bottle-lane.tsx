import { percentText } from '../../../words/quantity-text.ts'
import { Forecast, Gaps, LaneGroup, LaneHead, Limit, Reached, type Drawn } from './lane-parts.tsx'

/** The waste bottle's fill, its two marks, and the fill to come. */
export function BottleLane(drawn: Drawn) {
  const { machine, geometry, remPx } = drawn
  const { bottle, plot } = geometry
  if (!bottle || !machine.bottle) return null
  const { nearPct, fullPct, fillPct } = machine.bottle
  return (
    <LaneGroup machine={machine} lane="bottle">
      <LaneHead
        lane={bottle}
        name="Bottle"
        now={fillPct === null ? 'not known' : percentText(fillPct)}
        isKnown={fillPct !== null}
        rest={`mark at ${percentText(nearPct)}`}
        drawn={drawn}
      />
      {bottle.areas.map((d) => (
        <path class="bottle-area" d={d} />
      ))}
      <Forecast ribbon={bottle.ribbon} line="bottle" />
      {bottle.lines.map((d) => (
        <path class="bottle-line" d={d} />
      ))}
      <Limit y={bottle.limitY} label={percentText(nearPct)} labelDy={0.35} plot={plot} drawn={drawn} />
      <Limit
        y={bottle.fullY}
        label={percentText(fullPct)}
        labelDy={-0.3}
        kind="full"
        plot={plot}
        drawn={drawn}
      />
      <Gaps gaps={bottle.gaps} lane={bottle} id={machine.id} remPx={remPx} />
      <Reached crossing={bottle.reachesFull} y={bottle.fullY} remPx={remPx} />
    </LaneGroup>
  )
}
