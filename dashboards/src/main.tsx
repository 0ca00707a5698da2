import { effect } from '@preact/signals'
import { render } from 'preact'
import { createApp, type AppModel } from './models/app-model.ts'
import { hashOf, invitationOf, routeOf } from './models/route.ts'
import { createThemeModel } from './models/theme.ts'
import { createDevice } from './phone/device.ts'
import { createUnsentStore } from './phone/unsent-store.ts'
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
    openEvents: (afterId) =>
      new EventSource(`/api/v1/events${afterId === null ? '' : `?after=${encodeURIComponent(afterId)}`}`),
    timers: {
      nowMs: () => Date.now(),
      later: (ms, then) => {
        const timer = setTimeout(then, ms)
        return () => clearTimeout(timer)
      },
    },
    theme,
    device: createDevice(),
    unsentStore: createUnsentStore(() => indexedDB),
    newKey,
  })
  followAddress(app)
  app.start()
  setInterval(app.everySecond, 1000)
  addEventListener('online', app.lineIsBack)
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

/** 128 random bits; `crypto.randomUUID` is there on secure pages alone. */
function newKey(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16))
  return [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('')
}

/** What lives on without a page: the last known state and notices. Browsers take it on secure pages alone. */
function startWorker(): void {
  if (!('serviceWorker' in navigator)) return
  navigator.serviceWorker.register('/service-worker.js', { scope: '/', updateViaCache: 'none' }).catch(() => {
    // Without it the board works while there is a line; the page "This phone" says what is missing.
  })
}

const at = document.getElementById('app')
if (at) {
  start(at)
  startWorker()
}
