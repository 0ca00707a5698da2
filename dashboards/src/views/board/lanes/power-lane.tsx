import { CLEANINGS_REM } from '../../../strip/lane-layout.ts'
import { bandsWords, POWER_WORDS } from '../../../words/power-words.ts'
import { CleaningMark, PowerBar } from './power-shapes.tsx'
import { Gaps, LaneGroup, LaneHead, type Drawn } from './lane-parts.tsx'

/** The width of a letter of this lane's texts, on average. */
const LETTER_REM = 0.45

/** What the machine did, by height and pattern; cleanings stand above it. */
export function PowerLane(drawn: Drawn) {
  const { machine, geometry, remPx } = drawn
  const { power, plot } = geometry
  const bands = bandsWords(machine.power)
  const roomPx = plot.right - plot.nowX - 1.2 * remPx
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
      {bands && roomPx > bands.length * LETTER_REM * remPx && (
        <text class="power-bands" x={plot.nowX + 0.6 * remPx} y={power.top + power.height - 0.1 * remPx}>
          {bands}
        </text>
      )}
      {power.notes.map(({ x, text }) => (
        <text class="power-note" x={x} y={power.top + power.height + 0.85 * remPx}>
          {text}
        </text>
      ))}
    </LaneGroup>
  )
}
