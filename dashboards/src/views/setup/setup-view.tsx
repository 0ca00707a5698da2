import { useEffect } from 'preact/hooks'
import type { Permission } from '../../../../services/core/model/permissions.ts'
import type { AppModel } from '../../models/app-model.ts'
import { hashOf, type Route, type SetupPart } from '../../models/route.ts'
import { lazy } from '../lazy.tsx'
import { Announcement, Trouble } from '../states.tsx'

type SetupRoute = Extract<Route, { page: 'setup' }>

const WalkView = lazy(async () => (await import('./walk/walk-view.tsx')).WalkView)
const AllSettings = lazy(async () => (await import('./all-settings.tsx')).AllSettings)
const LimitsView = lazy(async () => (await import('./limits/limits-view.tsx')).LimitsView)
const PowerView = lazy(async () => (await import('./power/power-view.tsx')).PowerView)
const ScaleView = lazy(async () => (await import('./scale/scale-view.tsx')).ScaleView)
const ToldView = lazy(async () => (await import('./told/told-view.tsx')).ToldView)
const PeopleView = lazy(async () => (await import('./people/people-view.tsx')).PeopleView)
const SettingsFile = lazy(async () => (await import('./settings-file.tsx')).SettingsFile)
const ChangesView = lazy(async () => (await import('./changes-view.tsx')).ChangesView)

const PARTS: readonly {
  readonly part: SetupPart
  readonly label: string
  readonly permission: Permission
}[] = [
  { part: 'walk', label: 'Step by step', permission: 'changeSettings' },
  { part: 'forms', label: 'All settings', permission: 'seeSettings' },
  { part: 'limits', label: 'Limits', permission: 'seeSettings' },
  { part: 'scale', label: 'Scales', permission: 'seeSettings' },
  { part: 'power', label: 'Power', permission: 'seeLearned' },
  { part: 'told', label: 'Who is told', permission: 'manageTelling' },
  { part: 'people', label: 'People', permission: 'managePeople' },
  { part: 'file', label: 'As one file', permission: 'seeSettings' },
  { part: 'changes', label: 'Changes', permission: 'seeSettings' },
]

export function SetupView({ app, route }: { app: AppModel; route: SetupRoute }) {
  const { settings } = app
  useEffect(() => {
    if (!settings.saved.peek()) void settings.load()
  }, [])
  const trouble = settings.trouble.value
  return (
    <>
      <h1 class="statement">How this shop is set up</h1>
      <nav class="parts-ways" aria-label="Parts of the set-up">
        {PARTS.filter(({ permission }) => app.session.may(permission)).map(({ part, label }) => (
          <a
            key={part}
            href={hashOf({ page: 'setup', part })}
            aria-current={part === route.part ? 'page' : undefined}
          >
            {label}
          </a>
        ))}
      </nav>
      {trouble && <Trouble text={trouble} />}
      <PartView app={app} route={route} />
      <Announcement text={settings.announcement.value} />
    </>
  )
}

function PartView({ app, route: { part, detail } }: { app: AppModel; route: SetupRoute }) {
  const isAllowed = PARTS.some((p) => p.part === part && app.session.may(p.permission))
  if (!isAllowed) return <p class="hint">Only an owner of the shop can see this.</p>
  switch (part) {
    case 'walk':
      return <WalkView app={app} detail={detail} />
    case 'forms':
      return <AllSettings app={app} />
    case 'limits':
      return <LimitsView app={app} />
    case 'scale':
      return <ScaleView app={app} bottleId={detail} />
    case 'power':
      return <PowerView app={app} />
    case 'told':
      return <ToldView app={app} />
    case 'people':
      return <PeopleView app={app} />
    case 'file':
      return <SettingsFile app={app} />
    case 'changes':
      return <ChangesView app={app} />
  }
}
