import { useState } from 'preact/hooks'
import type { Quantity } from '../../../../services/core/model/quantity.ts'
import type { Settings } from '../../../../services/core/model/settings.ts'
import type { SensorsView as View } from '../../../../services/core/model/views.ts'
import type { AppModel } from '../../models/app-model.ts'
import { foreignBinding, heardTopics, readAs, valuesIn } from '../../models/foreign.ts'
import { keyOf, noChoiceWords, subjectChoices } from '../../models/sensor-subjects.ts'
import { QUANTITY_WORDS, UNIT_WORDS } from '../../words/reading-text.ts'
import { Field } from '../field.tsx'

const QUANTITIES = Object.keys(QUANTITY_WORDS) as Quantity[]

/** A device that publishes a number or JSON of its own: where it speaks, and where in its message the value stands. */
export function ForeignForm({ app, view, settings }: { app: AppModel; view: View; settings: Settings }) {
  const [deviceId, setDeviceId] = useState(view.nodes[0]?.id ?? '')
  const [topicFilter, setTopic] = useState('')
  const [message, setMessage] = useState('')
  const [pointer, setPointer] = useState('')
  const [quantity, setQuantity] = useState<Quantity>('humidity')
  const [key, setKey] = useState('')
  const [title, setTitle] = useState('')
  const [scale, setScale] = useState(1)
  const [offset, setOffset] = useState(0)
  const choices = subjectChoices(quantity, settings)
  const choice = choices.find((c) => keyOf(c.subject) === key) ?? choices[0]
  const found = valuesIn(message)
  const here = found.find((f) => f.pointer === pointer)
  const read = here ? readAs(here.value, { scale, offset }) : null
  const errors = app.sensors.errors.value
  const send = async (): Promise<void> => {
    if (!choice) return
    const { subject } = choice
    const given = { deviceId, title, quantity, subject, topicFilter, pointer, scale, offset }
    const taken = view.sensors.map((s) => s.id)
    if (await app.sensors.assign(foreignBinding(given, taken))) {
      setTitle('')
      setPointer('')
    }
  }
  if (view.nodes.length === 0)
    return <p class="hint">Add the device as a node first: it signs in with that name and secret.</p>
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault()
        void send()
      }}
    >
      <p class="hint">
        Add the device as a node first: it signs in to the broker with that name and secret, and may then
        publish on the topics that you bind here.
      </p>
      {heardTopics(view).length > 0 && (
        <p class="buttons">
          Heard, and not bound yet:
          {heardTopics(view).map(({ topic, sample }) => (
            <button
              key={topic}
              type="button"
              class="plain strong"
              onClick={() => {
                setTopic(topic)
                setMessage(sample)
              }}
            >
              <code>{topic}</code>
            </button>
          ))}
        </p>
      )}
      <div class="fields">
        <Field label="Device" id="foreign-device">
          <select
            id="foreign-device"
            value={deviceId}
            onChange={(event) => setDeviceId(event.currentTarget.value)}
          >
            {view.nodes.map((node) => (
              <option key={node.id} value={node.id}>
                {node.title ?? node.id}
              </option>
            ))}
          </select>
        </Field>
        <Field label="Topic it publishes on" id="foreign-topic">
          <input
            id="foreign-topic"
            required
            maxLength={200}
            placeholder="hall/air"
            value={topicFilter}
            onInput={(event) => setTopic(event.currentTarget.value)}
          />
        </Field>
      </div>
      <Field
        label="One of its messages, to try it on"
        id="foreign-message"
        hint="Paste one, or tap a topic above. It is not kept."
      >
        <textarea
          id="foreign-message"
          rows={3}
          spellcheck={false}
          aria-describedby="foreign-message-hint"
          value={message}
          onInput={(event) => setMessage(event.currentTarget.value)}
        />
      </Field>
      {message.trim() !== '' && found.length === 0 && <p class="hint">No number stands in this message.</p>}
      {found.length > 0 && (
        <fieldset class="checks">
          <legend>Tap the value</legend>
          {found.map((one) => (
            <label key={one.pointer} class="choice">
              <input
                type="radio"
                name="foreign-pointer"
                checked={one.pointer === pointer}
                onChange={() => setPointer(one.pointer)}
              />
              <span>
                <code>{one.pointer === '' ? 'the whole message' : one.pointer}</code>
                {`: ${String(one.value)}`}
              </span>
            </label>
          ))}
        </fieldset>
      )}
      <div class="fields">
        <Field label="Place in the message" id="foreign-pointer" hint="Empty for the whole message.">
          <input
            id="foreign-pointer"
            maxLength={200}
            aria-describedby="foreign-pointer-hint"
            value={pointer}
            onInput={(event) => setPointer(event.currentTarget.value)}
          />
        </Field>
        <Field label="It measures" id="foreign-quantity">
          <select
            id="foreign-quantity"
            value={quantity}
            onChange={(event) => {
              const next = QUANTITIES.find((q) => q === event.currentTarget.value)
              if (next) setQuantity(next)
            }}
          >
            {QUANTITIES.map((q) => (
              <option key={q} value={q}>
                {QUANTITY_WORDS[q]}
              </option>
            ))}
          </select>
        </Field>
        <Field label="Of" id="foreign-subject">
          <select
            id="foreign-subject"
            value={choice ? keyOf(choice.subject) : ''}
            onChange={(event) => setKey(event.currentTarget.value)}
          >
            {choices.map(({ subject, title: name }) => (
              <option key={keyOf(subject)} value={keyOf(subject)}>
                {name}
              </option>
            ))}
          </select>
        </Field>
        <Field label="Name, if you like" id="foreign-title">
          <input
            id="foreign-title"
            maxLength={80}
            value={title}
            onInput={(event) => setTitle(event.currentTarget.value)}
          />
        </Field>
        <NumberField label="Times" id="foreign-scale" value={scale} set={setScale} />
        <NumberField label="Plus" id="foreign-offset" value={offset} set={setOffset} />
      </div>
      <p role="status">
        {here
          ? read === null
            ? 'What stands there is no number.'
            : `That is read as ${Number(read.toPrecision(5))} ${UNIT_WORDS[quantity]}.`
          : message.trim() === ''
            ? ''
            : 'Nothing stands at that place of this message.'}
      </p>
      {!choice && <p class="hint">{noChoiceWords(quantity)}</p>}
      <ul class="faults">
        {errors.map(({ pointer: at, detail }) => (
          <li key={`${at} ${detail}`}>{detail}</li>
        ))}
      </ul>
      <p class="buttons">
        <button type="submit" class="do do-calm" disabled={!choice}>
          Bind it
        </button>
      </p>
    </form>
  )
}

function NumberField({
  label,
  id,
  value,
  set,
}: {
  label: string
  id: string
  value: number
  set: (value: number) => void
}) {
  return (
    <Field label={label} id={id}>
      <input
        id={id}
        type="number"
        step="any"
        required
        defaultValue={String(value)}
        onInput={(event) => {
          const typed = event.currentTarget.valueAsNumber
          if (Number.isFinite(typed)) set(typed)
        }}
      />
    </Field>
  )
}
