import { CLEANINGS_REM } from '../../../strip/lane-layout.ts'
import { POWER_WORDS } from '../../../words/power-words.ts'
import { CleaningMark, PowerBar } from './power-shapes.tsx'
import { Gaps, LaneGroup, LaneHead, type Drawn } from './lane-parts.tsx'

/** What the machine did, by height and pattern; cleanings stand above it. */
export function PowerLane(drawn: Drawn) {
  const { machine, geometry, remPx } = drawn
  const { power } = geometry
  const { now } = machine.power
  return (
    <LaneGroup machine={machine} lane="power">
      <LaneHead lane={power} name="Power" now={POWER_WORDS[now]} isKnown={now !== 'unknown'} drawn={drawn} />
      {power.bars.map(({ x, width, state }) => (
        <PowerBar
          state={state}
          x={x}
          y={power.top}
          width={width}
          height={power.height}
          stripeId={machine.id}
        />
      ))}
      <Gaps gaps={power.gaps} lane={power} id={machine.id} remPx={remPx} />
      {power.cleanings.map(({ x, basis }) => (
        <CleaningMark basis={basis} x={x} y={power.top - (CLEANINGS_REM - 0.12) * remPx} size={0.5 * remPx} />
      ))}
      {power.notes.map(({ x, text }) => (
        <text class="power-note" x={x} y={power.top + power.height + 0.85 * remPx}>
          {text}
        </text>
      ))}
    </LaneGroup>
  )
}
