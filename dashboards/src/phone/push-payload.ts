import type { NoticeKind } from '../../../services/core/model/notice.ts'

/** What the monitor sends to a device, encrypted on the way. */
export interface PushPayload {
  readonly key: string
  readonly kind: NoticeKind
  readonly title: string
  readonly body: string
  /** What stands after `#` in the address. */
  readonly page: string
  readonly topic: string
  /** Where an answer goes without signing in; null when answers cannot reach the shop. */
  readonly replyUrl: string | null
  readonly sentMs: number
}

export const ANSWERS = ['acknowledge', 'snooze', 'received'] as const
export type ReplyAnswer = (typeof ANSWERS)[number]

/** As long as "Snooze" on a notice lasts: the shortest that the monitor takes. */
export const SNOOZE_MINUTES = 15

export interface NoticeButton {
  readonly action: ReplyAnswer
  readonly title: string
}

/** The options of the notification that shows a notice; a name of its own, since browsers differ in what they know. */
export interface NoticeOptions {
  readonly body: string
  readonly tag: string
  readonly renotify: boolean
  readonly requireInteraction: boolean
  readonly timestamp: number
  readonly icon: string
  readonly badge: string
  readonly lang: string
  readonly actions: readonly NoticeButton[]
  readonly data: { readonly page: string; readonly replyUrl: string | null; readonly title: string }
}

const KINDS: Readonly<Record<NoticeKind, { readonly knocksHard: boolean }>> = {
  alarm: { knocksHard: true },
  reminder: { knocksHard: true },
  escalation: { knocksHard: true },
  over: { knocksHard: false },
  morningReport: { knocksHard: false },
  closingReminder: { knocksHard: false },
  test: { knocksHard: false },
}

const LOOK = { icon: '/icon-192.png', badge: '/badge-96.png', lang: 'en' } as const

/** PUSH-1 what was sent, or null when it is none of ours: a device shows a plain line then, never nothing. */
export function payloadOf(text: string): PushPayload | null {
  try {
    const value = JSON.parse(text) as Record<string, unknown> | null
    if (typeof value !== 'object' || value === null) return null
    const { key, kind, title, body, page, topic, replyUrl, sentMs } = value
    const areTexts = [key, title, body, page, topic].every((part) => typeof part === 'string')
    if (!areTexts || typeof kind !== 'string' || !Object.hasOwn(KINDS, kind) || typeof sentMs !== 'number')
      return null
    return { ...(value as unknown as PushPayload), replyUrl: typeof replyUrl === 'string' ? replyUrl : null }
  } catch {
    return null
  }
}

/**
 * PUSH-2 one topic is one notification: a newer one takes its place. PUSH-3 what asks to be answered knocks again and
 * stays until it is. PUSH-4 buttons stand there only where an answer can reach the shop.
 */
export function notificationOf(payload: PushPayload): { title: string; options: NoticeOptions } {
  const { kind, title, body, page, topic, replyUrl, sentMs } = payload
  const { knocksHard } = KINDS[kind]
  return {
    title,
    options: {
      ...LOOK,
      body,
      tag: topic,
      renotify: knocksHard || kind === 'test',
      requireInteraction: knocksHard,
      timestamp: sentMs,
      actions: replyUrl === null ? [] : buttonsOf(kind),
      data: { page, replyUrl, title },
    },
  }
}

/** PUSH-1 a message that cannot be read is still shown: the browser was promised a notification for each. */
export function unreadableNotification(nowMs: number): { title: string; options: NoticeOptions } {
  return {
    title: 'Nightcap has news',
    options: {
      ...LOOK,
      body: 'The message could not be read on this device. Open the board.',
      tag: 'unreadable',
      renotify: false,
      requireInteraction: false,
      timestamp: nowMs,
      actions: [],
      data: { page: '/', replyUrl: null, title: 'Nightcap has news' },
    },
  }
}

function buttonsOf(kind: NoticeKind): readonly NoticeButton[] {
  if (kind === 'test') return [{ action: 'received', title: 'It arrived' }]
  return [
    { action: 'acknowledge', title: "I'm on it" },
    { action: 'snooze', title: `Snooze ${SNOOZE_MINUTES} min` },
  ]
}

/** The body of an answer. */
export function replyBody(answer: ReplyAnswer): Record<string, string | number> {
  return answer === 'snooze' ? { answer, minutes: SNOOZE_MINUTES } : { answer }
}

/** What came of an answer: the HTTP status, 0 when nothing answered, and the reason that was given. */
export interface ReplyResult {
  readonly status: number
  readonly detail: string
}

const NOTED: Readonly<Record<ReplyAnswer, string>> = {
  acknowledge: 'Noted. Nobody else is asked.',
  snooze: `Quiet for ${SNOOZE_MINUTES} minutes. The next person is still asked if nobody takes it.`,
  received: 'The way back works: your answer reached the shop.',
}

/** PUSH-5 the answer is told to whoever gave it: taken, or not taken and what to do. */
export function replyWords(
  answer: ReplyAnswer,
  { status, detail }: ReplyResult,
): { title: string; body: string } {
  if (status >= 200 && status < 300) return { title: 'Noted', body: NOTED[answer] }
  if (status === 0) {
    const body =
      'The shop could not be reached. Press the button again in a moment, or ring someone who is there.'
    return { title: 'Your answer did not arrive', body }
  }
  if (status === 404 || status === 410) {
    const body = 'This notice is too old to be answered from here. Tap to open the board and answer there.'
    return { title: 'Your answer was not taken', body }
  }
  return { title: 'Your answer was not taken', body: detail || 'Tap to open the board and answer there.' }
}
