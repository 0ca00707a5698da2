import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'
import type { AppModel } from '../../models/app-model.ts'
import { pointerWords } from '../../models/settings-edits.ts'
import { Field } from '../field.tsx'
import { Trouble, Waiting } from '../states.tsx'
import type { FormPart } from './form-parts.ts'

/** A form over the settings: what was found wrong, its parts, and the way to save what was changed. */
export function SettingsForm({
  app,
  asksWhy = false,
  children,
}: {
  app: AppModel
  /** Asks for a reason beside the button that saves. */
  asksWhy?: boolean
  children: (part: FormPart) => ComponentChildren
}) {
  const { draft, errors, change } = app.settings
  const [why, setWhy] = useState('')
  if (!draft.value) return <Waiting />
  const readOnly = !app.session.may('changeSettings')
  return (
    <form
      class="setup"
      onSubmit={(event) => {
        event.preventDefault()
        void app.settings.save(why).then((ok) => ok && setWhy(''))
      }}
    >
      {readOnly && <p class="hint">Only an owner of the shop can change this.</p>}
      {app.settings.isOvertaken.value && <Overtaken app={app} />}
      <FaultList app={app} />
      {children({ settings: draft.value, errors: errors.value, readOnly, change })}
      {!readOnly && asksWhy && app.settings.isChanged.value && <WhyField why={why} setWhy={setWhy} />}
      {!readOnly && <SaveBar app={app} />}
    </form>
  )
}

function Overtaken({ app }: { app: AppModel }) {
  return (
    <Trouble
      text="Someone else saved other settings meanwhile. Saving yours replaces theirs; taking theirs drops yours."
      retry={app.settings.discard}
      retryWord="Take theirs"
    />
  )
}

/** All faults at the top too, since the field may be far down or in no form at all. */
export function FaultList({ app }: { app: AppModel }) {
  const errors = app.settings.errors.value
  if (errors.length === 0) return null
  return (
    <ul class="faults">
      {errors.map(({ pointer, detail }) => (
        <li>{pointer === '' ? detail : `${pointerWords(pointer)}: ${detail}`}</li>
      ))}
    </ul>
  )
}

function SaveBar({ app }: { app: AppModel }) {
  const { isChanged, busy, discard } = app.settings
  if (!isChanged.value) return null
  return (
    <p class="save-bar buttons">
      <button type="submit" class="do do-calm" disabled={busy.value}>
        Save the changes
      </button>
      <button type="button" class="plain" onClick={discard}>
        Drop them
      </button>
    </p>
  )
}

function WhyField({ why, setWhy }: { why: string; setWhy: (why: string) => void }) {
  return (
    <Field label="Why, for the record (you may leave it empty)" id="settings-why">
      <input
        id="settings-why"
        maxLength={2000}
        value={why}
        onInput={(event) => setWhy(event.currentTarget.value)}
      />
    </Field>
  )
}
