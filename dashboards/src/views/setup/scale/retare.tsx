import type { AppModel } from '../../../models/app-model.ts'
import { withItem } from '../../../models/settings-edits.ts'
import { tareWords } from '../../../words/bottle-words.ts'

/** After an emptying that left sludge: what the scale then read is offered as the new empty weight. */
export function Retare({ app, bottleId }: { app: AppModel; bottleId: string }) {
  const bottle = app.board.board.value?.machines.map((m) => m.bottle).find((b) => b?.id === bottleId)
  const words = bottle ? tareWords(bottle) : null
  const newTareKg = bottle?.newTareKg ?? null
  if (words === null || newTareKg === null || !app.session.may('changeSettings')) return null
  const takeIt = (): void => {
    // What stands unsaved in a form does not go along.
    app.settings.discard()
    app.settings.change((s) => ({
      ...s,
      bottles: withItem(
        s.bottles,
        s.bottles.findIndex((b) => b.id === bottleId),
        { tareKg: newTareKg },
      ),
    }))
    void app.settings.save('What stayed in the bottle after it was emptied does not count as waste.')
  }
  return (
    <>
      <p>{words}</p>
      <p class="buttons">
        <button type="button" class="plain strong" onClick={takeIt}>
          Take it as the empty weight
        </button>
      </p>
    </>
  )
}
