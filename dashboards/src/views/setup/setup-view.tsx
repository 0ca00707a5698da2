import { useEffect } from 'preact/hooks'
import type { AppModel } from '../../models/app-model.ts'
import { pointerWords } from '../../models/settings-edits.ts'
import { Announcement, Trouble, Waiting } from '../states.tsx'
import { BottlesForm } from './bottles-form.tsx'
import type { FormPart } from './form-parts.ts'
import { lazy } from '../lazy.tsx'
import { HoursForm } from './hours-form.tsx'
import { LimitsForm } from './limits-form.tsx'
import { SettingsFile } from './settings-file.tsx'
import { ShopForm } from './shop-form.tsx'
import { MachinesForm, RoomsForm } from './things-form.tsx'

const RoutinesForm = lazy(async () => (await import('./routines-form.tsx')).RoutinesForm)

export function SetupView({ app, part }: { app: AppModel; part: 'forms' | 'file' }) {
  const { settings } = app
  useEffect(() => {
    if (!settings.saved.peek()) void settings.load()
  }, [])
  const trouble = settings.trouble.value
  return (
    <>
      <h1 class="statement">How this shop is set up</h1>
      <p class="parts-ways">
        <a href="#/setup" aria-current={part === 'forms' ? 'page' : undefined}>
          As forms
        </a>
        <a href="#/setup/file" aria-current={part === 'file' ? 'page' : undefined}>
          As one file
        </a>
      </p>
      {trouble && <Trouble text={trouble} />}
      {part === 'file' ? <SettingsFile app={app} /> : <Forms app={app} />}
      <Announcement text={settings.announcement.value} />
    </>
  )
}

function Forms({ app }: { app: AppModel }) {
  const { draft, errors, change } = app.settings
  if (!draft.value) return <Waiting />
  const readOnly = !app.session.may('changeSettings')
  const part: FormPart = { settings: draft.value, errors: errors.value, readOnly, change }
  return (
    <form
      class="setup"
      onSubmit={(event) => {
        event.preventDefault()
        void app.settings.save()
      }}
    >
      {readOnly && <p class="hint">Only an owner of the shop can change this.</p>}
      {app.settings.isOvertaken.value && <Overtaken app={app} />}
      <FaultList app={app} />
      <ShopForm {...part} />
      <HoursForm {...part} />
      <RoomsForm {...part} />
      <MachinesForm {...part} />
      <BottlesForm {...part} />
      <RoutinesForm app={app} part={part} />
      <LimitsForm {...part} />
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
function FaultList({ app }: { app: AppModel }) {
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
