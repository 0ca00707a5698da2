import { answerFetch } from './answers.ts'
import { openPage, replyTo, showNotice, subscribeAgain } from './notices.ts'
import { dropOldShells, keepShell } from './shell.ts'

declare const self: ServiceWorkerGlobalScope

/** The part of the board that lives on when no page is open: its files, the last known state, and notices. */
self.addEventListener('install', (event) => {
  event.waitUntil(keepShell().then(() => self.skipWaiting()))
})

self.addEventListener('activate', (event) => {
  event.waitUntil(dropOldShells().then(() => self.clients.claim()))
})

self.addEventListener('fetch', (event) => {
  const answer = answerFetch(event.request)
  if (answer) event.respondWith(answer)
})

self.addEventListener('push', (event) => {
  event.waitUntil(showNotice(self.registration, event.data?.text() ?? ''))
})

self.addEventListener('notificationclick', (event) => {
  const { notification, action } = event
  notification.close()
  event.waitUntil(
    action === '' ? openPage(self.clients, notification) : replyTo(self, { notification, action }),
  )
})

self.addEventListener('pushsubscriptionchange', (event) => {
  // The event's own fields are not told by every browser, so the rest is asked of the push manager.
  const given = event as ExtendableEvent & { readonly oldSubscription?: PushSubscription | null }
  given.waitUntil(subscribeAgain(self.registration, given.oldSubscription ?? null))
})
