import { useState } from 'preact/hooks'
import type { Machine } from '../../../../../services/core/model/settings.ts'
import type { PowerPicture } from '../../../api/setup-api.ts'
import type { AppModel } from '../../../models/app-model.ts'
import { bandsFrom, withBands, withoutBands, type BandsGiven } from '../../../models/power-bands.ts'
import { Field } from '../../field.tsx'

const FIELDS: readonly { readonly key: keyof BandsGiven; readonly label: string }[] = [
  { key: 'offBelowW', label: 'Off below, in W' },
  { key: 'cleaningFromW', label: 'Cleaning from, in W' },
  { key: 'cleaningToW', label: 'Cleaning to, in W' },
  { key: 'printingFromW', label: 'Printing from, in W' },
  { key: 'printingToW', label: 'Printing to, in W' },
]

/** Bands told by hand, and the way back to what is learned. */
export function BandsForm({ app, machine, seen }: { app: AppModel; machine: Machine; seen: PowerPicture }) {
  const [given, setGiven] = useState<BandsGiven>(() => bandsFrom(seen.inForce))
  const [fault, setFault] = useState('')
  const send = async (): Promise<void> => {
    // From what the monitor has by what was heard last: nothing that somebody else saved is taken back.
    app.settings.discard()
    const saved = app.settings.saved.peek()
    if (!saved) return
    const outcome = withBands(saved, machine.id, given)
    setFault(outcome.fault)
    if (!outcome.settings) return
    const { settings } = outcome
    app.settings.change(() => settings)
    await app.settings.save(`Power bands of ${machine.title} corrected by hand.`)
  }
  const giveBack = async (): Promise<void> => {
    app.settings.discard()
    app.settings.change((s) => withoutBands(s, machine.id))
    await app.settings.save(`Power bands of ${machine.title} given back to what is learned.`)
  }
  return (
    <details>
      <summary>{`Correct them by hand`}</summary>
      <form
        onSubmit={(event) => {
          event.preventDefault()
          void send()
        }}
      >
        <p class="hint">An empty field is a band that is not told apart.</p>
        <div class="fields">
          {FIELDS.map(({ key, label }) => (
            <Field key={key} label={label} id={`${key}-${machine.id}`}>
              <input
                id={`${key}-${machine.id}`}
                type="number"
                min={0}
                max={100_000}
                step="any"
                value={given[key]}
                onInput={(event) => setGiven({ ...given, [key]: event.currentTarget.value })}
              />
            </Field>
          ))}
        </div>
        {fault !== '' && <p class="fault">{fault}</p>}
        <p class="buttons">
          <button type="submit" class="do do-calm" disabled={app.settings.busy.value}>
            Use these bands
          </button>
          {seen.told && (
            <button type="button" class="plain strong" onClick={() => void giveBack()}>
              Back to what is learned
            </button>
          )}
        </p>
      </form>
    </details>
  )
}
