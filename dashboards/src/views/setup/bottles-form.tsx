import type { Bottle } from '../../../../services/core/model/settings.ts'
import { addBottle, faultAt, withItem, withoutItem } from '../../models/settings-edits.ts'
import { AddByTitle } from './add-by-title.tsx'
import { hashOf } from '../../models/route.ts'
import type { FormPart } from './form-parts.ts'
import { NumberInput, TextInput } from './inputs.tsx'
import { Remove } from './things-form.tsx'

export function BottlesForm(part: FormPart) {
  const { settings, readOnly, change } = part
  return (
    <fieldset class="part">
      <legend>Waste bottles</legend>
      {settings.bottles.map((bottle, at) => (
        <BottleFields key={bottle.id} {...part} bottle={bottle} at={at} />
      ))}
      {settings.machines.length === 0 ? (
        <p class="hint">Add the machine first that drains into the bottle.</p>
      ) : (
        !readOnly && (
          <AddByTitle
            id="add-bottle"
            label="Add a bottle"
            placeholder="Waste bottle, left bench"
            button="Add the bottle"
            add={(title) => change((s) => addBottle(s, title))}
          />
        )
      )}
    </fieldset>
  )
}

function BottleFields({
  settings,
  errors,
  readOnly,
  change,
  bottle,
  at,
}: FormPart & { bottle: Bottle; at: number }) {
  const pointer = `/bottles/${at}`
  const field = { errors, readOnly }
  const set = (edit: Partial<Bottle>): void =>
    change((s) => ({ ...s, bottles: withItem(s.bottles, at, edit) }))
  const toggle = (id: string, drains: boolean): void =>
    set({ machines: drains ? [...bottle.machines, id] : bottle.machines.filter((m) => m !== id) })
  return (
    <div class="fields thing">
      <TextInput
        {...field}
        label="Bottle"
        pointer={`${pointer}/title`}
        value={bottle.title}
        set={(title) => set({ title })}
      />
      <fieldset class="checks">
        <legend>Machines that drain into it</legend>
        {settings.machines.map((machine) => (
          <label key={machine.id}>
            <input
              type="checkbox"
              disabled={readOnly}
              checked={bottle.machines.includes(machine.id)}
              onChange={(event) => toggle(machine.id, event.currentTarget.checked)}
            />
            {machine.title}
          </label>
        ))}
        <MachinesFault errors={errors} pointer={`${pointer}/machines`} />
      </fieldset>
      <NumberInput
        {...field}
        label="Holds, in mL"
        pointer={`${pointer}/capacityMl`}
        value={bottle.capacityMl}
        set={(capacityMl) => set({ capacityMl })}
      />
      <NumberInput
        {...field}
        label="Scale reads with the empty bottle, in kg"
        pointer={`${pointer}/tareKg`}
        value={bottle.tareKg}
        set={(tareKg) => set({ tareKg })}
      />
      <NumberInput
        {...field}
        label="Weight of the waste, in kg a litre"
        pointer={`${pointer}/densityKgPerL`}
        value={bottle.densityKgPerL}
        set={(densityKgPerL) => set({ densityKgPerL })}
      />
      <p>
        <a href={hashOf({ page: 'setup', part: 'scale', detail: bottle.id })}>
          Calibrate its scale<span class="only-read">{`: ${bottle.title}`}</span>
        </a>
      </p>
      <Remove
        readOnly={readOnly}
        name={bottle.title}
        remove={() => change((s) => ({ ...s, bottles: withoutItem(s.bottles, at) }))}
      />
    </div>
  )
}

function MachinesFault({ errors, pointer }: Pick<FormPart, 'errors'> & { pointer: string }) {
  const fault = faultAt(errors, pointer)
  return fault ? <p class="fault">{fault}</p> : null
}
