import { useState } from 'preact/hooks'
import { withBottle } from '../../../models/walk.ts'
import { Field } from '../../field.tsx'
import { saveStep } from '../../../models/save-step.ts'
import { StepForm, ThereAlready, type StepProps } from './step-parts.tsx'

export function BottleStep({ app, settings, goOn }: StepProps) {
  const first = settings.machines.find((m) => !settings.bottles.some((b) => b.machines.includes(m.id)))
  const start = first ?? settings.machines[0]
  const [machine, setMachine] = useState(start?.id ?? '')
  const [title, setTitle] = useState(`Waste bottle, ${start?.title ?? ''}`.slice(0, 80))
  const [capacityMl, setCapacityMl] = useState(2000)
  const send = (): void => void saveStep(app, (s) => withBottle(s, { title, machine, capacityMl }), goOn)
  return (
    <StepForm
      busy={app.settings.busy.value}
      send={send}
      skip={goOn}
      skipWord={settings.bottles.length > 0 ? 'No more bottles' : 'There is no bottle to watch'}
    >
      <p>The bottle into which the machine drains. Its scale is calibrated later, at the scale.</p>
      <ThereAlready titles={settings.bottles.map((b) => b.title)} />
      <div class="fields">
        <Field label="Name of the bottle" id="walk-bottle">
          <input
            id="walk-bottle"
            required
            maxLength={80}
            value={title}
            onInput={(event) => setTitle(event.currentTarget.value)}
          />
        </Field>
        {settings.machines.length > 1 && (
          <Field label="Drained by" id="walk-bottle-machine">
            <select
              id="walk-bottle-machine"
              value={machine}
              onChange={(event) => setMachine(event.currentTarget.value)}
            >
              {settings.machines.map((m) => (
                <option key={m.id} value={m.id}>
                  {m.title}
                </option>
              ))}
            </select>
          </Field>
        )}
        <Field label="Holds up to its full line, in mL" id="walk-capacity">
          <input
            id="walk-capacity"
            type="number"
            min={1}
            max={1_000_000}
            required
            value={capacityMl}
            onInput={(event) => setCapacityMl(event.currentTarget.valueAsNumber)}
          />
        </Field>
      </div>
    </StepForm>
  )
}
