import { createHmac } from 'node:crypto'
import type { HttpPost, OutgoingNotice, SendNotice, WebhookTarget } from '../../core/model/ports/notify.ts'

/**
 * Posts a notice as a CloudEvent 1.0 in structured JSON, signed after the open Standard Webhooks specification:
 * `webhook-signature: v1,` and the base64 of HMAC-SHA256 over `{webhook-id}.{webhook-timestamp}.{body}`, keyed by the
 * octets that the secret holds in base64 after `whsec_`.
 *
 * HOOK-1 the id of the event and `webhook-id` are the notice's key, the same on every try.
 * HOOK-2 408, 425, 429 and 5xx can be tried again; every other answer beyond 2xx, redirects too, is for good.
 */
export function createWebhookSender({
  post,
  nowMs,
}: {
  post: HttpPost
  nowMs: () => number
}): SendNotice<WebhookTarget> {
  return async (out, target) => {
    const body = JSON.stringify(cloudEvent(out, target.source))
    const id = headerText(out.notice.key)
    const timestamp = String(Math.floor(nowMs() / 1000))
    const headers: Record<string, string> = {
      'content-type': 'application/cloudevents+json; charset=utf-8',
      'webhook-id': id,
      'webhook-timestamp': timestamp,
    }
    if (target.secret !== null)
      headers['webhook-signature'] = signatureOf({ secret: target.secret, id, timestamp, body })
    const outcome = await post({ url: target.url, headers, body, allowPrivate: target.allowPrivate })
    if (outcome.kind === 'refused') return { kind: 'dead', reason: outcome.reason }
    if (outcome.kind === 'failed') return { kind: 'later', reason: outcome.reason, retryAfterMs: null }
    const { status, retryAfterMs } = outcome
    if (status >= 200 && status < 300) return { kind: 'taken' }
    if (status >= 300 && status < 400)
      return {
        kind: 'dead',
        reason: `it answered ${status}, a redirect, and none is followed: give the address itself`,
      }
    return [408, 425, 429].includes(status) || status >= 500
      ? { kind: 'later', reason: `it answered ${status}`, retryAfterMs }
      : { kind: 'dead', reason: `it answered ${status}` }
  }
}

/** The header `webhook-signature` for a body. */
export function signatureOf(of: { secret: string; id: string; timestamp: string; body: string }): string {
  const key = Buffer.from(of.secret.replace(/^whsec_/, ''), 'base64')
  return `v1,${createHmac('sha256', key).update(`${of.id}.${of.timestamp}.${of.body}`).digest('base64')}`
}

function cloudEvent({ notice, replyUrl, sentMs }: OutgoingNotice, source: string): Record<string, unknown> {
  const { key, kind, contactId, alarmId, urgency, title, body, topic, page, expiresMs } = notice
  return {
    specversion: '1.0',
    id: key,
    source,
    type: `nightcap.notice.${kind}`,
    subject: alarmId ?? topic,
    time: new Date(sentMs).toISOString(),
    datacontenttype: 'application/json',
    data: { kind, contactId, alarmId, urgency, title, body, topic, page, replyUrl, expiresMs },
  }
}

/** Header fields hold visible ASCII alone. */
function headerText(text: string): string {
  return text.replace(/[^\x21-\x7e]/gu, encodeURIComponent)
}
