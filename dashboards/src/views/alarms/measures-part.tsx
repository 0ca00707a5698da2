import type { AlarmMeasures } from '../../../../services/core/model/alarm-measures.ts'
import { keptWords } from '../../words/alarm-words.ts'
import { countText, unbroken } from '../../words/quantity-text.ts'

/** How calm the alarms are as a whole, each measure beside its target. */
export function MeasuresPart({
  measures: { sentence, measures, mostFrequent },
}: {
  measures: AlarmMeasures
}) {
  return (
    <section class="measures" aria-labelledby="measures-title">
      <h2 id="measures-title">How calm the alarms are</h2>
      <p>{unbroken(sentence)}</p>
      <table>
        <thead>
          <tr>
            <th scope="col">Measure</th>
            <th scope="col">Is</th>
            <th scope="col">Target</th>
            <th scope="col">Kept</th>
          </tr>
        </thead>
        <tbody>
          {measures.map((m) => (
            <tr key={m.id}>
              <th scope="row">{m.title}</th>
              <td data-label="Is">{unbroken(m.value)}</td>
              <td data-label="Target">{unbroken(m.target)}</td>
              <td data-label="Kept">
                <Kept kept={m.kept} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <p class="hint">
        Targets of ISA-18.2 and IEC 62682 for one person who watches, by second hand; they were made for
        control rooms, and a shop should stay far below.
      </p>
      {mostFrequent.length > 0 && (
        <>
          <h3 id="most-frequent">What asked most often</h3>
          <ol class="list" aria-labelledby="most-frequent">
            {mostFrequent.map(({ title, times, sharePct }) => (
              <li key={title} class="list-row">
                <span>{title}</span>
                <span class="list-value">{`${countText(times, 'time', 'times')}, ${sharePct} %`}</span>
              </li>
            ))}
          </ol>
        </>
      )}
    </section>
  )
}

function Kept({ kept }: { kept: boolean | null }) {
  const { mark, word } = keptWords(kept)
  return (
    <span class={kept === false ? 'standing-beforeOpening' : undefined}>
      <span aria-hidden="true">{`${mark} `}</span>
      {word}
    </span>
  )
}
