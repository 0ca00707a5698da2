import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'
import type { Permission } from '../../../services/core/model/permissions.ts'
import type { AppModel } from '../models/app-model.ts'
import { hashOf, type Route } from '../models/route.ts'
import { THEME_CHOICES, type ThemeChoice } from '../models/theme.ts'
import { dayAndClock, dayClock, durationText } from '../words/shop-time.ts'
import { UnsentLines } from './unsent-lines.tsx'

interface Place {
  readonly route: Route
  readonly label: string
  readonly permission: Permission
}

const PLACES: readonly Place[] = [
  { route: { page: 'board' }, label: 'Board', permission: 'seeBoard' },
  { route: { page: 'closing' }, label: 'Closing', permission: 'seeTasks' },
  { route: { page: 'morning' }, label: 'Morning', permission: 'seeTasks' },
  { route: { page: 'tasks', taskId: null }, label: 'Tasks', permission: 'seeTasks' },
  { route: { page: 'alarms' }, label: 'Alarms', permission: 'seeAlarmMeasures' },
  { route: { page: 'logbook', part: 'all' }, label: 'Logbook', permission: 'seeLogbook' },
  { route: { page: 'history', query: '' }, label: 'History', permission: 'seeReadings' },
  { route: { page: 'causes' }, label: 'Causes', permission: 'seeCauses' },
  { route: { page: 'sensors' }, label: 'Sensors', permission: 'seeSensors' },
  { route: { page: 'setup', part: 'forms' }, label: 'Setup', permission: 'seeSettings' },
]

const THEME_WORDS: Readonly<Record<ThemeChoice, string>> = {
  device: 'Follow this device',
  light: 'Light',
  dark: 'Dark',
}

/** Head, ways, and what stands under every page. */
export function Frame({ app, children }: { app: AppModel; children: ComponentChildren }) {
  return (
    <div class="frame">
      <a class="skip" href="#main" onClick={skipToMain}>
        To the content
      </a>
      <header class="head">
        <ShopName app={app} />
        <Ways app={app} />
      </header>
      <LostLine app={app} />
      <UnsentLines app={app} />
      <main id="main" tabIndex={-1}>
        {children}
      </main>
      <footer class="foot">
        <ThemeChooser app={app} />
        <WhoIsIn app={app} />
      </footer>
    </div>
  )
}

/** The address holds the page, so the jump is made by hand. */
function skipToMain(event: Event): void {
  event.preventDefault()
  document.getElementById('main')?.focus()
}

function ShopName({ app }: { app: AppModel }) {
  const site = app.board.board.value?.site
  return (
    <p class="shop">
      <span class="shop-title">{site?.title ?? 'Nightcap'}</span>
      {site && <span class="shop-clock">{dayAndClock(app.clock.quarterMinuteMs.value, site.timeZone)}</span>}
    </p>
  )
}

function Ways({ app }: { app: AppModel }) {
  const here = app.route.value.page
  const waiting = app.tasks.open.value?.length ?? app.board.board.value?.openTasks ?? 0
  return (
    <nav aria-label="Pages">
      <ul class="ways">
        {PLACES.filter((p) => app.session.may(p.permission)).map(({ route, label }) => (
          <li key={label}>
            <a href={hashOf(route)} aria-current={route.page === here ? 'page' : undefined}>
              {label}
              {route.page === 'tasks' && waiting > 0 && (
                <span class="way-count">
                  {` ${waiting}`}
                  <span class="only-read"> open</span>
                </span>
              )}
            </a>
          </li>
        ))}
      </ul>
    </nav>
  )
}

/** A dead line is said at once, with the age of what is shown: it may no longer be so. */
function LostLine({ app }: { app: AppModel }) {
  const heardMs = app.board.keptMs.value ?? app.feed.lostSinceMs.value
  return (
    <div role="status" aria-live="polite">
      {heardMs !== null && <p class="lost">{lostWords(app, heardMs)}</p>}
    </div>
  )
}

function lostWords(app: AppModel, heardMs: number): string {
  const nowMs = app.clock.quarterMinuteMs.value
  const heard = dayClock(heardMs, { timeZone: app.board.board.value?.site.timeZone ?? 'UTC', nowMs })
  const ageMs = nowMs - heardMs
  const age = ageMs < 60_000 ? 'less than a minute' : durationText(ageMs)
  return `Last heard ${heard}, ${age} ago. This is how it was then, not how it is now. Trying again by itself.`
}

function ThemeChooser({ app }: { app: AppModel }) {
  return (
    <fieldset class="theme">
      <legend>Light or dark</legend>
      {THEME_CHOICES.map((choice) => (
        <label key={choice}>
          <input
            type="radio"
            name="theme"
            checked={app.theme.choice.value === choice}
            onChange={() => app.theme.choose(choice)}
          />
          {THEME_WORDS[choice]}
        </label>
      ))}
    </fieldset>
  )
}

function WhoIsIn({ app }: { app: AppModel }) {
  const session = app.session.session.value
  const [isAsking, setAsking] = useState(false)
  if (!session?.signedIn) return null
  const waiting = app.unsent.waiting.value
  const leave = async (): Promise<void> => {
    await app.unsent.dropAll()
    await app.session.signOut()
  }
  if (isAsking && waiting > 0) {
    return (
      <p class="who">
        {`Not sent yet: ${waiting}. Signing out drops it.`}
        <button type="button" class="plain strong" onClick={() => void leave()}>
          Drop it and sign out
        </button>
        <button type="button" class="plain" onClick={() => setAsking(false)}>
          Stay
        </button>
      </p>
    )
  }
  return (
    <p class="who">
      {`${session.person.name}, ${session.person.role}`}
      {app.session.may('useOwnDevice') && <a href={hashOf({ page: 'phone' })}>This phone</a>}
      <button type="button" class="plain" onClick={() => (waiting > 0 ? setAsking(true) : void leave())}>
        Sign out
      </button>
    </p>
  )
}
