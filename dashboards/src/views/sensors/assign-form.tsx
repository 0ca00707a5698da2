import { useState } from 'preact/hooks'
import type { Settings } from '../../../../services/core/model/settings.ts'
import type { SensorsView as View } from '../../../../services/core/model/views.ts'
import type { AppModel } from '../../models/app-model.ts'
import {
  bindingFrom,
  bindingStart,
  keyOf,
  noChoiceWords,
  subjectChoices,
} from '../../models/sensor-subjects.ts'
import { Field } from '../field.tsx'
import { Waiting } from '../states.tsx'

interface AssignProps {
  readonly app: AppModel
  readonly sensor: View['sensors'][number]
  readonly close: () => void
}

/** Says what a sensor belongs to. */
export function AssignForm(props: AssignProps) {
  const settings = props.app.settings.saved.value
  if (!settings) return <Waiting />
  if (subjectChoices(props.sensor.quantity, settings).length === 0) {
    return (
      <p class="hint">
        {noChoiceWords(props.sensor.quantity)} <a href="#/setup">Open Setup</a>
      </p>
    )
  }
  return <Fields {...props} settings={settings} />
}

function Fields({ app, sensor, close, settings }: AssignProps & { settings: Settings }) {
  const choices = subjectChoices(sensor.quantity, settings)
  const start = bindingStart(sensor.id, settings)
  const [key, setKey] = useState(start.subjectKey || (choices[0] ? keyOf(choices[0].subject) : ''))
  const [title, setTitle] = useState(start.title)
  const [intervalS, setIntervalS] = useState(start.intervalS)
  const idOf = (name: string): string => `${name}-${sensor.id}`
  const send = async (): Promise<void> => {
    const choice = choices.find((c) => keyOf(c.subject) === key)
    if (!choice) return
    if (
      await app.sensors.assign(bindingFrom(sensor, { subject: choice.subject, title, intervalS }, settings))
    )
      close()
  }
  const forget = async (): Promise<void> => {
    if (await app.sensors.unassign(sensor.id)) close()
  }
  return (
    <form
      class="inline-form"
      onSubmit={(event) => {
        event.preventDefault()
        void send()
      }}
    >
      <Field label="It measures" id={idOf('subject')}>
        <select id={idOf('subject')} value={key} onChange={(event) => setKey(event.currentTarget.value)}>
          {choices.map((choice) => (
            <option key={keyOf(choice.subject)} value={keyOf(choice.subject)}>
              {choice.title}
            </option>
          ))}
        </select>
      </Field>
      <Field label="Name, if you like" id={idOf('title')}>
        <input
          id={idOf('title')}
          maxLength={80}
          value={title}
          onInput={(event) => setTitle(event.currentTarget.value)}
        />
      </Field>
      <Field label="Sends at least every, in s" id={idOf('interval')}>
        <input
          id={idOf('interval')}
          type="number"
          min={1}
          max={86400}
          required
          value={intervalS}
          onInput={(event) => setIntervalS(event.currentTarget.valueAsNumber)}
        />
      </Field>
      <p class="buttons">
        <button type="submit" class="do do-calm">
          Assign
        </button>
        {sensor.assignedTo && (
          <button type="button" class="plain" onClick={() => void forget()}>
            Take the assignment away
          </button>
        )}
      </p>
    </form>
  )
}
