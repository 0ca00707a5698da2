import { useEffect } from 'preact/hooks'
import type { Permission } from '../../../../services/core/model/permissions.ts'
import type { AppModel } from '../../models/app-model.ts'
import { hashOf, type Route } from '../../models/route.ts'
import { lazy } from '../lazy.tsx'
import { Announcement, Trouble } from '../states.tsx'
import { BottlesForm } from './bottles-form.tsx'
import { HoursForm } from './hours-form.tsx'
import { LimitsForm } from './limits-form.tsx'
import { SettingsFile } from './settings-file.tsx'
import { SettingsForm } from './settings-form.tsx'
import { ShopForm } from './shop-form.tsx'
import { MachinesForm, RoomsForm } from './things-form.tsx'

type Part = Extract<Route, { page: 'setup' }>['part']

const ToldView = lazy(async () => (await import('./told/told-view.tsx')).ToldView)
const WorkForms = lazy(async () => (await import('./work-forms.tsx')).WorkForms)
const PeopleView = lazy(async () => (await import('./people/people-view.tsx')).PeopleView)

const PARTS: readonly { readonly part: Part; readonly label: string; readonly permission: Permission }[] = [
  { part: 'forms', label: 'As forms', permission: 'seeSettings' },
  { part: 'file', label: 'As one file', permission: 'seeSettings' },
  { part: 'told', label: 'Who is told', permission: 'manageTelling' },
  { part: 'people', label: 'People', permission: 'managePeople' },
]

export function SetupView({ app, part }: { app: AppModel; part: Part }) {
  const { settings } = app
  useEffect(() => {
    if (!settings.saved.peek()) void settings.load()
  }, [])
  const trouble = settings.trouble.value
  return (
    <>
      <h1 class="statement">How this shop is set up</h1>
      <p class="parts-ways">
        {PARTS.filter(({ permission }) => app.session.may(permission)).map((one) => (
          <a
            key={one.part}
            href={hashOf({ page: 'setup', part: one.part })}
            aria-current={one.part === part ? 'page' : undefined}
          >
            {one.label}
          </a>
        ))}
      </p>
      {trouble && <Trouble text={trouble} />}
      <PartView app={app} part={part} />
      <Announcement text={settings.announcement.value} />
    </>
  )
}

function PartView({ app, part }: { app: AppModel; part: Part }) {
  const isAllowed = PARTS.some((p) => p.part === part && app.session.may(p.permission))
  if (!isAllowed) return <p class="hint">Only an owner of the shop can see this.</p>
  switch (part) {
    case 'file':
      return <SettingsFile app={app} />
    case 'told':
      return <ToldView app={app} />
    case 'people':
      return <PeopleView app={app} />
    case 'forms':
      return <Forms app={app} />
  }
}

function Forms({ app }: { app: AppModel }) {
  return (
    <SettingsForm app={app}>
      {(part) => (
        <>
          <ShopForm {...part} />
          <HoursForm {...part} />
          <RoomsForm {...part} />
          <MachinesForm {...part} />
          <BottlesForm {...part} />
          <WorkForms app={app} part={part} />
          <LimitsForm {...part} />
        </>
      )}
    </SettingsForm>
  )
}
