import { createHash } from 'node:crypto'
import webPush from 'web-push'
import type {
  HttpPost,
  OutgoingNotice,
  PushTarget,
  SendNotice,
  SendOutcome,
} from '../../core/model/ports/notify.ts'

export interface PushParts {
  readonly post: HttpPost
  /** Read anew for each notice; null with the reason when nothing can be signed. */
  readonly vapid: () => VapidKeys | { readonly problem: string }
}

/** Of RFC 8292. `subject` is whom a push service may write to: a mailto: or https: address. */
export interface VapidKeys {
  readonly publicKey: string
  readonly privateKey: string
  readonly subject: string
}

/** A new key pair for RFC 8292: P-256, base64url. */
export function createVapidKeys(): { readonly publicKey: string; readonly privateKey: string } {
  return webPush.generateVAPIDKeys()
}

/** So many octets fit into one record of 4096 (RFC 8291, section 4). */
const MOST_PAYLOAD_OCTETS = 3_993

/**
 * Web push: RFC 8030 (TTL, Urgency, Topic), RFC 8291 (encryption to the device), RFC 8292 (who sends it).
 *
 * PUSH-1 a newer notice of the same contact and topic takes the place of one that the push service still holds.
 * PUSH-2 404 and 410 say that the subscription is gone; 429 and 5xx that it can be tried again.
 */
export function createPushSender({ post, vapid }: PushParts): SendNotice<PushTarget> {
  return async (out, target) => {
    const keys = vapid()
    if ('problem' in keys) return { kind: 'later', reason: keys.problem, retryAfterMs: null }
    const details = requestDetails(out, target, keys)
    if ('kind' in details) return details
    const outcome = await post({ url: target.endpoint, ...details, allowPrivate: false })
    if (outcome.kind === 'refused') return { kind: 'dead', reason: outcome.reason }
    if (outcome.kind === 'failed') return { kind: 'later', reason: outcome.reason, retryAfterMs: null }
    return judge(outcome.status, outcome.retryAfterMs)
  }
}

function judge(status: number, retryAfterMs: number | null): SendOutcome {
  const reason = `the push service answered ${status}`
  if (status >= 200 && status < 300) return { kind: 'taken' }
  if (status === 404 || status === 410)
    return { kind: 'dead', reason: `${reason}: this device takes no more notices`, gone: true }
  return status === 408 || status === 429 || status >= 500
    ? { kind: 'later', reason, retryAfterMs }
    : { kind: 'dead', reason }
}

function requestDetails(
  out: OutgoingNotice,
  { endpoint, p256dh, auth }: PushTarget,
  { subject, publicKey, privateKey }: VapidKeys,
): { headers: Record<string, string>; body: Uint8Array } | SendOutcome {
  if (!endpoint.startsWith('https://'))
    return { kind: 'dead', reason: 'the push service has no https address' }
  const { notice, sentMs } = out
  try {
    const { headers, body } = webPush.generateRequestDetails(
      { endpoint, keys: { p256dh, auth } },
      pushPayload(out),
      {
        vapidDetails: { subject, publicKey, privateKey },
        TTL: Math.max(0, Math.floor((notice.expiresMs - sentMs) / 1000)),
        urgency: notice.urgency,
        topic: pushTopic(notice.contactId, notice.topic),
      },
    )
    const texts = Object.entries(headers as Record<string, unknown>).map(([k, v]) => [k, String(v)])
    return { headers: Object.fromEntries(texts) as Record<string, string>, body }
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error)
    return { kind: 'dead', reason: `this device cannot be encrypted to: ${reason}` }
  }
}

/** Topic of RFC 8030, section 5.4: at most 32 characters of base64url. */
export function pushTopic(contactId: string, topic: string): string {
  return createHash('sha256').update(`${contactId}\n${topic}`).digest('base64url').slice(0, 32)
}

/** What the device shows. The body is shortened until the whole fits into one record. */
export function pushPayload({ notice, replyUrl, sentMs }: OutgoingNotice): Buffer {
  const { key, kind, title, page, topic } = notice
  let body = notice.body
  for (;;) {
    const payload = Buffer.from(JSON.stringify({ key, kind, title, body, page, topic, replyUrl, sentMs }))
    if (payload.length <= MOST_PAYLOAD_OCTETS || body === '') return payload
    const letters = [...body]
    body = letters.length < 8 ? '' : `${letters.slice(0, Math.floor(letters.length * 0.9)).join('')}…`
  }
}
