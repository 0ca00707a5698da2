import { useState } from 'preact/hooks'
import type { AppModel } from '../../models/app-model.ts'
import { nameFromTitle } from '../../models/name-from-title.ts'
import { Field } from '../field.tsx'

/** A node is named by where it stands; its id follows from that. */
export function AddNode({ app }: { app: AppModel }) {
  const [title, setTitle] = useState('')
  const taken = app.sensors.view.value?.nodes.map((n) => n.id) ?? []
  const add = async (): Promise<void> => {
    const id = nameFromTitle(title, { taken, fallback: 'sensor-node' })
    if (await app.sensors.addNode({ id, title: title.trim() })) setTitle('')
  }
  return (
    <form
      class="inline-form"
      onSubmit={(event) => {
        event.preventDefault()
        void add()
      }}
    >
      <Field label="Add a node: where does it stand?" id="node-title">
        <input
          id="node-title"
          required
          maxLength={80}
          placeholder="Print floor, left wall"
          value={title}
          onInput={(event) => setTitle(event.currentTarget.value)}
        />
      </Field>
      <p class="buttons">
        <button type="submit" class="do do-calm">
          Add the node
        </button>
      </p>
    </form>
  )
}
