import { useEffect } from 'preact/hooks'
import type { AppModel } from '../models/app-model.ts'
import { BoardView } from './board/board-view.tsx'
import { Frame } from './frame.tsx'
import { lazy } from './lazy.tsx'
import { SignInView } from './sign-in/sign-in-view.tsx'
import { Trouble, Waiting } from './states.tsx'
import { TasksView } from './tasks/tasks-view.tsx'

const TITLES = {
  board: 'Board',
  closing: 'Closing',
  morning: 'Morning',
  tasks: 'Tasks',
  alarms: 'Alarms',
  symptoms: 'Symptoms',
  logbook: 'Logbook',
  causes: 'Causes',
  history: 'History',
  sensors: 'Sensors',
  setup: 'Setup',
  phone: 'This phone',
  rerun: 'Re-run',
} as const

const SensorsView = lazy(async () => (await import('./sensors/sensors-view.tsx')).SensorsView)
const SetupView = lazy(async () => (await import('./setup/setup-view.tsx')).SetupView)
const ClosingView = lazy(async () => (await import('./closing/closing-view.tsx')).ClosingView)
const MorningView = lazy(async () => (await import('./morning/morning-view.tsx')).default)
const SymptomsView = lazy(async () => (await import('./symptoms/symptoms-view.tsx')).default)
const LogbookView = lazy(async () => (await import('./logbook/logbook-view.tsx')).default)
const RerunPage = lazy(async () => (await import('./rerun/rerun-view.tsx')).default)
const CausesView = lazy(async () => (await import('./causes/causes-view.tsx')).default)
const PastView = lazy(async () => (await import('./past/past-view.tsx')).default)
const AlarmsView = lazy(async () => (await import('./alarms/alarms-view.tsx')).AlarmsView)
const PhoneView = lazy(async () => (await import('./phone/phone-view.tsx')).PhoneView)

export function AppView({ app }: { app: AppModel }) {
  const session = app.session.session.value
  const trouble = app.session.trouble.value
  const { page } = app.route.value
  useEffect(() => {
    document.title = session?.signedIn ? `${TITLES[page]} · Nightcap` : 'Nightcap'
  }, [page, session])
  if (!session) {
    return (
      <main class="door">
        {trouble ? <Trouble text={trouble} retry={() => void app.session.load()} /> : <Waiting />}
      </main>
    )
  }
  if (!session.signedIn || app.invitation.value?.kind === 'signIn') {
    return (
      <main>
        <SignInView app={app} />
      </main>
    )
  }
  return (
    <Frame app={app}>
      {trouble && <Trouble text={trouble} retry={app.session.readTrouble} retryWord="I have read it" />}
      <Page app={app} />
    </Frame>
  )
}

/** Who may not see a page is shown why, and not an empty one. */
function Page({ app }: { app: AppModel }) {
  const route = app.route.value
  const { may } = app.session
  switch (route.page) {
    case 'board':
      return (
        <>
          {route.isInstead && <NoSuchPage />}
          {may('seeBoard') ? <BoardView app={app} /> : <NotAllowed />}
        </>
      )
    case 'closing':
      return may('seeTasks') ? <ClosingView app={app} /> : <NotAllowed />
    case 'morning':
      return may('seeTasks') ? <MorningView app={app} /> : <NotAllowed />
    case 'tasks':
      return may('seeTasks') ? <TasksView app={app} taskId={route.taskId} /> : <NotAllowed />
    case 'alarms':
      return may('seeAlarmMeasures') ? <AlarmsView app={app} /> : <NotAllowed />
    case 'symptoms':
      return may('seeTasks') ? <SymptomsView app={app} /> : <NotAllowed />
    case 'logbook':
      return may('seeLogbook') ? <LogbookView app={app} part={route.part} /> : <NotAllowed />
    case 'history':
      return may('seeReadings') ? <PastView app={app} query={route.query} /> : <NotAllowed />
    case 'causes':
      return may('seeCauses') ? <CausesView app={app} /> : <NotAllowed />
    case 'sensors':
      return may('seeSensors') ? <SensorsView app={app} /> : <NotAllowed />
    case 'setup':
      return may('seeSettings') ? <SetupView app={app} route={route} /> : <NotAllowed />
    case 'rerun':
      return may('runReruns') ? (
        <RerunPage app={app} limit={route.limit} value={route.value} />
      ) : (
        <NotAllowed />
      )
    case 'phone':
      return may('useOwnDevice') ? <PhoneView app={app} /> : <NotAllowed />
  }
}

function NoSuchPage() {
  return (
    <p class="hint" role="status">
      There is no such page. This is the board.
    </p>
  )
}

function NotAllowed() {
  return <p class="hint">This page is not for your role. Ask an owner of the shop to change that.</p>
}
