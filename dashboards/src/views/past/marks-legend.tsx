import { POWER_WORDS } from '../../words/power-words.ts'

const MARKS = [
  ['M12 12m-4 0a4 4 0 1 0 8 0a4 4 0 1 0 -8 0', false, 'Nozzle check, all clear'],
  ['M8 16L12 8L16 16Z', true, 'Nozzle check, nozzles missing'],
  ['M8 8L16 8L12 16Z', false, 'Cleaning, seen or logged'],
  ['M8 8H16V16H8Z', true, 'Another entry of the logbook'],
  ['M8 8H16V16H8Z', false, 'Task that ended'],
  ['M12 7L17 12L12 17L7 12Z', true, 'Task that was missed'],
  ['M4 10H20V14H4Z', true, 'Alarm, as long as it was so'],
] as const
const STATES = ['printing', 'cleaning', 'on', 'standby', 'off', 'unknown'] as const
const HEIGHT_WORDS: Readonly<Record<(typeof STATES)[number], string>> = {
  printing: 'full',
  cleaning: 'striped upright',
  on: 'half dark',
  standby: 'light',
  off: 'an empty frame between two dark lines',
  unknown: 'striped aslant',
}

/** What the marks and the ribbon mean. */
export function MarksLegend() {
  return (
    <details class="legend">
      <summary>What the marks mean</summary>
      <ul>
        {MARKS.map(([d, isFilled, words]) => (
          <li key={words}>
            <svg class="legend-mark" viewBox="0 0 24 24" aria-hidden="true">
              <path class={isFilled ? 'past-mark past-mark-full' : 'past-mark'} d={d} />
            </svg>
            {words}
          </li>
        ))}
        {STATES.map((state) => (
          <li key={state}>{`Power, ${POWER_WORDS[state]}: ${HEIGHT_WORDS[state]}`}</li>
        ))}
        <li>
          Power stands as high as its share of the stretch; a state that was there at all is never too low to
          be seen. White means that the machine was not watched yet.
        </li>
        <li>Shaded: the shop was closed.</li>
      </ul>
    </details>
  )
}
