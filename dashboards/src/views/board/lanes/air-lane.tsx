import { humidityText } from '../../../words/quantity-text.ts'
import { Forecast, Gaps, LaneGroup, LaneHead, Limit, type Drawn } from './lane-parts.tsx'

/** Humidity of the room's air against its limit, and what is expected of it. */
export function AirLane(drawn: Drawn) {
  const { machine, geometry, remPx } = drawn
  const { humidity: air, plot } = geometry
  const { limitPct, nowPct } = machine.humidity
  return (
    <LaneGroup machine={machine} lane="air">
      <LaneHead
        lane={air}
        name="Air"
        now={nowPct === null ? 'not known' : humidityText(nowPct)}
        isKnown={nowPct !== null}
        rest={`limit ${humidityText(limitPct)}`}
        drawn={drawn}
      />
      {air.past.map((d) => (
        <path class="past-limit" d={d} />
      ))}
      <Forecast ribbon={air.ribbon} line="air" />
      <Limit y={air.limitY} label={humidityText(limitPct)} plot={plot} drawn={drawn} />
      {air.lines.map((d) => (
        <path class="air-line" d={d} />
      ))}
      <Gaps gaps={air.gaps} lane={air} id={machine.id} remPx={remPx} />
      {air.endY !== null && <circle class="air-end" cx={plot.nowX} cy={air.endY} r={0.2 * remPx} />}
    </LaneGroup>
  )
}
