import {
  ANSWERS,
  notificationOf,
  payloadOf,
  replyBody,
  replyWords,
  unreadableNotification,
  type NoticeOptions,
  type ReplyAnswer,
  type ReplyResult,
} from '../src/phone/push-payload.ts'

type Shown = NoticeOptions['data']

/** Every message is shown: a browser takes the right to send away from those who show nothing. */
export async function showNotice(registration: ServiceWorkerRegistration, text: string): Promise<void> {
  const payload = payloadOf(text)
  const { title, options } = payload ? notificationOf(payload) : unreadableNotification(Date.now())
  await registration.showNotification(title, options)
}

/** The page that tells more, in a window that is open already where there is one. */
export async function openPage(clients: Clients, notification: Notification): Promise<void> {
  const { page } = shownOf(notification)
  const windows = await clients.matchAll({ type: 'window', includeUncontrolled: true })
  const address = `/#${page}`
  const [open] = windows
  if (!open) return void (await clients.openWindow(address))
  const focused = await open.focus()
  await focused.navigate(address).catch(() => clients.openWindow(address))
}

/** An answer from the locked screen: the link itself is the right to give it, so no session is needed. */
export async function replyTo(
  worker: ServiceWorkerGlobalScope,
  { notification, action }: { notification: Notification; action: string },
): Promise<void> {
  const shown = shownOf(notification)
  const answer = ANSWERS.find((a) => a === action)
  if (!answer || shown.replyUrl === null) return openPage(worker.clients, notification)
  const url = new URL(shown.replyUrl, worker.location.origin)
  // The policy of this page lets it speak to its own address alone; another opens as a page with the same buttons.
  if (url.origin !== worker.location.origin) return void (await worker.clients.openWindow(url.href))
  const result = await sendReply(url.href, answer)
  const words = replyWords(answer, result)
  const canTryAgain = result.status === 0 || result.status >= 500
  const options: NoticeOptions = {
    icon: '/icon-192.png',
    badge: '/badge-96.png',
    lang: 'en',
    timestamp: Date.now(),
    data: shown,
    tag: notification.tag,
    renotify: false,
    requireInteraction: canTryAgain,
    actions: canTryAgain ? actionsOf(notification) : [],
    body: `${shown.title}\n${words.body}`,
  }
  await worker.registration.showNotification(words.title, options)
}

async function sendReply(url: string, answer: ReplyAnswer): Promise<ReplyResult> {
  try {
    const response = await fetch(url, {
      method: 'POST',
      headers: { 'content-type': 'application/json', accept: 'application/json' },
      body: JSON.stringify(replyBody(answer)),
      credentials: 'omit',
      signal: AbortSignal.timeout(20_000),
    })
    return { status: response.status, detail: response.ok ? '' : detailOf(await response.text()) }
  } catch {
    return { status: 0, detail: '' }
  }
}

function detailOf(text: string): string {
  try {
    const { detail } = JSON.parse(text) as { detail?: unknown }
    return typeof detail === 'string' ? detail : ''
  } catch {
    return ''
  }
}

/** The push service gave this device another address: the shop is told, or notices would end unseen. */
export async function subscribeAgain(
  registration: ServiceWorkerRegistration,
  old: PushSubscription | null,
): Promise<void> {
  const key = old?.options.applicationServerKey ?? (await pushKey())
  if (!key) return
  const subscription = await registration.pushManager.subscribe({
    userVisibleOnly: true,
    applicationServerKey: key,
  })
  const { endpoint, keys } = subscription.toJSON()
  await fetch('/api/v1/devices', {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ title: 'This phone, renewed', subscription: { endpoint, keys } }),
  })
}

async function pushKey(): Promise<string | null> {
  const response = await fetch('/api/v1/devices/push-key')
  if (!response.ok) return null
  const { key } = (await response.json()) as { key?: unknown }
  return typeof key === 'string' ? key : null
}

function shownOf(notification: Notification): Shown {
  const data = notification.data as Partial<Shown> | null
  return {
    page: data?.page ?? '/',
    replyUrl: data?.replyUrl ?? null,
    title: data?.title ?? notification.title,
  }
}

function actionsOf({ actions = [] }: Notification & { readonly actions?: NoticeOptions['actions'] }) {
  return actions
}
