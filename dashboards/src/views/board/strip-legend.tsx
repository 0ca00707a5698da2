import type { ComponentChildren } from 'preact'
import { BANDS_WORDS, CLEANING_WORDS, ON_OFF_ONLY, POWER_WORDS } from '../../words/power-words.ts'
import { CleaningMark, Patterns, PowerBar } from './lanes/power-shapes.tsx'

const STATES = ['printing', 'cleaning', 'on', 'standby', 'off'] as const
const CLEANINGS = ['seen', 'logged', 'assumed'] as const

/** How to read the strips: every shape with its word. Folded up until someone asks. */
export function StripLegend() {
  return (
    <details class="legend">
      <summary>How to read the strips</summary>
      <ul>
        <Item text="measured; the thick line down the strip is now">
          <path class="air-line" d="M2 9h32" />
        </Item>
        <Item text="expected; eight of ten nights like this stay within the band">
          <path class="band band-air" d="M2 4 34 2V16L2 12Z" />
          <path class="ahead-line ahead-air" d="M2 9h32" />
        </Item>
        <Item text="limit; on it the span in which it is reached, the bar at the likely time">
          <path class="limit-line" d="M1 9h34" />
          <path class="reached" d="M12 6v6M12 9h18M30 6v6" />
          <path class="reached-likely" d="M20 3v12" />
        </Item>
        <Item text="the shop is closed">
          <rect class="closed" x="2" y="2" width="32" height="14" />
        </Item>
        <Item text="no readings">
          <rect x="2" y="3" width="32" height="12" fill="url(#hatch-legend)" />
        </Item>
        <Item text="drying of the colour ink">
          <path class="ink-line ink-colour" d="M2 9h32" />
        </Item>
        <Item text="drying of the white ink">
          <path class="ink-line ink-white" d="M2 9h32" />
          <path class="ink-line white-core" d="M2 9h32" />
        </Item>
        {STATES.map((state) => (
          <Item key={state} text={STATE_TEXT[state]}>
            <PowerBar state={state} x={4} y={3} width={28} height={12} stripeId="legend" />
          </Item>
        ))}
        {CLEANINGS.map((basis) => (
          <Item key={basis} text={`a cleaning, ${CLEANING_WORDS[basis]}`}>
            <CleaningMark basis={basis} x={18} y={5} size={9} />
          </Item>
        ))}
        <Item
          text={`power states: ${BANDS_WORDS.learned} from the machine's own history, ${BANDS_WORDS.told} by the owner, ${BANDS_WORDS.startingValues} until then; ${ON_OFF_ONLY} with a contact`}
        ></Item>
        <Item text="the bottle's marks: near dotted, full dashed">
          <path class="full-line" d="M2 5h32" />
          <path class="limit-line" d="M2 13h32" />
        </Item>
      </ul>
      <svg class="legend-patterns" aria-hidden="true" focusable="false">
        <Patterns id="legend" />
      </svg>
    </details>
  )
}

const STATE_TEXT: Readonly<Record<(typeof STATES)[number], string>> = {
  printing: `power: ${POWER_WORDS.printing}`,
  cleaning: `power: ${POWER_WORDS.cleaning}`,
  on: `power: ${POWER_WORDS.on}, where nothing more can be told`,
  standby: `power: on and ${POWER_WORDS.standby}`,
  off: `power: ${POWER_WORDS.off}`,
}

function Item({ text, children }: { text: string; children?: ComponentChildren }) {
  return (
    <li>
      <svg class="legend-mark" viewBox="0 0 36 18" aria-hidden="true" focusable="false">
        {children}
      </svg>
      {text}
    </li>
  )
}
