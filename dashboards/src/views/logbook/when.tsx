import type { ComponentChildren } from 'preact'
import { useId, useState } from 'preact/hooks'
import { clockField, instantOf } from '../../words/log-words.ts'
import type { ShownLog, When } from './shown-log.ts'

/** When it was, on the shop's clock. */
export function useWhen({ app, timeZone }: Pick<ShownLog, 'app' | 'timeZone'>, givenMs: number | null): When {
  const given = givenMs === null ? '' : clockField(givenMs, timeZone)
  const [text, set] = useState(given)
  return {
    text,
    set,
    clear: () => set(''),
    saidMs: () => (text === '' ? null : text === given ? givenMs : instantOf(text, timeZone)),
    nowMs: () => Math.round(app.clock.nowMs.peek()),
    latest: clockField(app.clock.quarterMinuteMs.value, timeZone),
  }
}

export function WhenField({ when, isNew, hint }: { when: When; isNew: boolean; hint?: string }) {
  const id = useId()
  return (
    <>
      <label for={id}>{isNew ? 'When, if it was not just now' : 'When'}</label>
      <input
        id={id}
        type="datetime-local"
        required={!isNew}
        max={when.latest}
        value={when.text}
        onInput={(event) => when.set(event.currentTarget.value)}
        {...(hint ? { 'aria-describedby': `${id}-hint` } : {})}
      />
      {hint && (
        <p class="hint" id={`${id}-hint`}>
          {hint}
        </p>
      )}
    </>
  )
}

/** A text of its own line, with its label. */
export function TextField({
  label,
  value,
  set,
  most,
}: {
  label: string
  value: string
  set: (text: string) => void
  most: number
}) {
  const id = useId()
  return (
    <>
      <label for={id}>{label}</label>
      <input id={id} maxLength={most} value={value} onInput={(event) => set(event.currentTarget.value)} />
    </>
  )
}

/** One of several, by title. */
export function Choose<Id extends string>({
  label,
  value,
  set,
  choices,
}: {
  label: string
  value: Id
  set: (id: Id) => void
  choices: readonly (readonly [Id, string])[]
}) {
  const id = useId()
  return (
    <>
      <label for={id}>{label}</label>
      <select id={id} value={value} onChange={(event) => set(event.currentTarget.value as Id)}>
        {choices.map(([choice, title]) => (
          <option key={choice} value={choice}>
            {title}
          </option>
        ))}
      </select>
    </>
  )
}

/** The form around fields: Enter sends it. */
export function EntryForm({
  isNew,
  send,
  children,
}: {
  isNew: boolean
  send: () => void
  children: ComponentChildren
}) {
  return (
    <form
      class="confirm entry-form"
      onSubmit={(event) => {
        event.preventDefault()
        send()
      }}
    >
      {children}
      <p class="buttons">
        <button type="submit" class="do do-calm">
          {isNew ? 'Write it down' : 'Save the correction'}
        </button>
      </p>
    </form>
  )
}
