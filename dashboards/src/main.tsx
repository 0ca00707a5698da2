import { effect } from '@preact/signals'
import { render } from 'preact'
import { createApp, type AppModel } from './models/app-model.ts'
import { hashOf, invitationOf, routeOf } from './models/route.ts'
import { createThemeModel } from './models/theme.ts'
import { AppView } from './views/app-view.tsx'

const THEME_KEY = 'nightcap-theme'

/** Starts the board: here alone the models meet the browser. */
function start(at: HTMLElement): void {
  const dark = matchMedia('(prefers-color-scheme: dark)')
  const theme = createThemeModel(
    {
      read: () => localStorage.getItem(THEME_KEY),
      write: (choice) => localStorage.setItem(THEME_KEY, choice),
    },
    dark.matches,
  )
  dark.addEventListener('change', () => theme.deviceIsDark(dark.matches))
  effect(() => {
    document.documentElement.dataset['theme'] = theme.shown.value
  })
  const app = createApp({
    fetch: (path, init) => fetch(path, init),
    openEvents: () => new EventSource('/api/v1/events'),
    timers: {
      nowMs: () => Date.now(),
      later: (ms, then) => {
        const timer = setTimeout(then, ms)
        return () => clearTimeout(timer)
      },
    },
    theme,
  })
  followAddress(app)
  app.start()
  setInterval(app.everySecond, 1000)
  render(<AppView app={app} />, at)
}

/** The page follows the address; a code in it is read once and taken out, also from the history of the browser. */
function followAddress(app: AppModel): void {
  const read = (): void => {
    const invitation = invitationOf(location.hash)
    if (invitation) {
      app.invite(invitation)
      history.replaceState(null, '', hashOf({ page: 'board' }))
    }
    app.goTo(routeOf(location.hash))
  }
  addEventListener('hashchange', read)
  read()
}

const at = document.getElementById('app')
if (at) start(at)
