import type { Page } from 'playwright-core'
import { waitFor } from './wait-for.ts'

export interface ShownNotice {
  readonly title: string
  readonly body: string
  readonly tag: string
  readonly requireInteraction: boolean
  readonly actions: readonly string[]
}

/** Gives messages to the service worker of a page and presses on what it shows. */
export interface PushPage {
  readonly deliver: (payload: object | string) => Promise<void>
  readonly shown: () => Promise<readonly ShownNotice[]>
  /** The name of a button, or empty for the notice itself. */
  readonly press: (action: string) => Promise<void>
}

const IS_ACTIVE = "navigator.serviceWorker.ready.then((r) => r.active?.state === 'activated')"
const SHOWN = `navigator.serviceWorker.ready.then((r) => r.getNotifications()).then((all) => all.map((n) => ({
  title: n.title, body: n.body, tag: n.tag, requireInteraction: n.requireInteraction, actions: n.actions.map((a) => a.title) })))`

export async function openPushPage(page: Page): Promise<PushPage> {
  const context = page.context()
  await context.grantPermissions(['notifications'])
  // What comes before the worker is at work is lost.
  await waitFor('the worker', async () => ((await page.evaluate<boolean>(IS_ACTIVE)) ? true : null))
  const cdp = await context.newCDPSession(page)
  let registrationId = ''
  cdp.on('ServiceWorker.workerRegistrationUpdated', ({ registrations }) => {
    registrationId = registrations.find((r) => !r.isDeleted)?.registrationId ?? registrationId
  })
  await cdp.send('ServiceWorker.enable')
  await waitFor('the registration', () => (registrationId === '' ? null : true))
  const origin = new URL(page.url()).origin
  return {
    deliver: async (payload) => {
      const data = typeof payload === 'string' ? payload : JSON.stringify(payload)
      await cdp.send('ServiceWorker.deliverPushMessage', { origin, registrationId, data })
    },
    shown: () => page.evaluate<ShownNotice[]>(SHOWN),
    press: async (action) => {
      const worker = context.serviceWorkers()[0]
      if (!worker) throw new Error('no worker runs')
      // No browser of tests can press a notification: the event it would send is sent by hand, with the one shown.
      await worker.evaluate(`self.registration.getNotifications().then(([notification]) =>
        self.dispatchEvent(new NotificationEvent('notificationclick', { notification, action: ${JSON.stringify(action)} })))`)
    },
  }
}
