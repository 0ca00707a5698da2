import type { HistoryView } from '../../../../services/core/model/history-view.ts'
import type { AppModel } from '../../models/app-model.ts'
import type { Chosen } from '../../past/link.ts'

const KINDS = [
  ['machines', 'Machines'],
  ['rooms', 'Rooms, for their air'],
  ['bottles', 'Waste bottles'],
] as const
/** As many as the monitor answers for at once. */
const MOST = 10

/** Which machines, rooms and bottles stand on the same axis. */
export function Chooser({ app, view }: { app: AppModel; view: HistoryView }) {
  const ids = (things: readonly { id: string }[]): string[] => things.map((t) => t.id)
  const chosen: Chosen = app.past.chosen.value ?? {
    machines: ids(view.machines),
    rooms: ids(view.rooms),
    bottles: ids(view.bottles),
  }
  const toggle = (kind: keyof Chosen, id: string): void => {
    const had = chosen[kind]
    app.past.choose({ ...chosen, [kind]: had.includes(id) ? had.filter((i) => i !== id) : [...had, id] })
  }
  return (
    <details class="past-chooser">
      <summary>{`Shown: ${shownWords(chosen, view)}`}</summary>
      {KINDS.map(([kind, title]) => (
        <fieldset key={kind}>
          <legend>{title}</legend>
          {view.choices[kind].map(({ id, title: name }) => (
            <label key={id}>
              <input
                type="checkbox"
                checked={chosen[kind].includes(id)}
                disabled={!chosen[kind].includes(id) && chosen[kind].length >= MOST}
                onChange={() => toggle(kind, id)}
              />
              {name}
            </label>
          ))}
        </fieldset>
      ))}
      <button type="button" class="plain" onClick={() => app.past.choose(null)}>
        All machines, with their rooms and bottles
      </button>
    </details>
  )
}

function shownWords(chosen: Chosen, { choices }: HistoryView): string {
  const titles = KINDS.flatMap(([kind]) =>
    choices[kind].filter(({ id }) => chosen[kind].includes(id)).map(({ title }) => title),
  )
  return titles.length === 0 ? 'nothing' : titles.join('; ')
}
