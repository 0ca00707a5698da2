import { useState } from 'preact/hooks'
import { createSetupApi } from '../../api/setup-api.ts'
import type { SensorsView } from '../../../../services/core/model/views.ts'
import type { AppModel } from '../../models/app-model.ts'
import { Field } from '../field.tsx'

type Sensor = SensorsView['sensors'][number]

/** A broken sensor and the one in its place: offered where another of the same kind is heard and free. */
export function ReplaceForm({ app, sensor, close }: { app: AppModel; sensor: Sensor; close: () => void }) {
  const all = app.sensors.view.value?.sensors ?? []
  const free = all.filter((s) => s.quantity === sensor.quantity && s.assignedTo === null)
  const [newId, setNewId] = useState(free[0]?.id ?? '')
  if (!sensor.assignedTo || free.length === 0) return null
  const id = `replace-${sensor.id}`
  const go = async (): Promise<void> => {
    const asking = createSetupApi(app).replaceSensor({ oldId: sensor.id, newId })
    if (await app.sensors.run(asking, `${newId} took the place of ${sensor.id}.`)) close()
  }
  return (
    <form
      class="inline-form"
      onSubmit={(event) => {
        event.preventDefault()
        void go()
      }}
    >
      <Field label="Broken? Put in its place" id={id}>
        <select id={id} value={newId} onChange={(event) => setNewId(event.currentTarget.value)}>
          {free.map((s) => (
            <option key={s.id} value={s.id}>
              {s.id}
            </option>
          ))}
        </select>
      </Field>
      <p class="buttons">
        <button type="submit" class="plain strong">
          Replace it
        </button>
      </p>
    </form>
  )
}
