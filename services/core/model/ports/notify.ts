import type { Notice } from '../notice.ts'

export const CHANNELS = ['push', 'mail', 'webhook'] as const
export type Channel = (typeof CHANNELS)[number]

/** A notice as it leaves: with the link to answer by, if replies can reach the shop. */
export interface OutgoingNotice {
  readonly notice: Notice
  readonly replyUrl: string | null
  readonly sentMs: number
}

/** What came of one try. Never thrown: a way out that fails is an everyday thing. */
export type SendOutcome =
  | { readonly kind: 'taken' }
  /** Refused for good: trying again is useless. `gone`: the target itself is no more. */
  | { readonly kind: 'dead'; readonly reason: string; readonly gone?: true }
  /** `retryAfterMs`: how long the other side asked us to wait, or null. */
  | { readonly kind: 'later'; readonly reason: string; readonly retryAfterMs: number | null }

/** One way out of the house to targets of one kind. Ends within half a minute, whatever the other side does. */
export type SendNotice<Target> = (out: OutgoingNotice, target: Target) => Promise<SendOutcome>

/** A device that takes notices (RFC 8030 push subscription). */
export interface PushTarget {
  readonly endpoint: string
  readonly p256dh: string
  readonly auth: string
}

/** How mail leaves. `none` is for a mail server on this computer alone. */
export interface MailTarget {
  readonly to: string
  readonly from: string
  readonly host: string
  readonly port: number
  readonly security: 'tls' | 'startTls' | 'none'
  readonly user: string | null
  readonly password: string | null
}

export interface WebhookTarget {
  readonly url: string
  /** `whsec_` and base64, or null: then nothing is signed. */
  readonly secret: string | null
  readonly allowPrivate: boolean
  /** Names the shop: CloudEvents `source`. */
  readonly source: string
}

/** One POST, or a GET where that is asked for, to somewhere outside. Redirects are not followed, the answer's body is not kept. */
export type HttpPost = (request: {
  readonly method?: 'GET' | 'POST'
  readonly url: string
  readonly headers: Readonly<Record<string, string>>
  readonly body: string | Uint8Array
  /** May it go to a private, loopback or link-local address? */
  readonly allowPrivate: boolean
}) => Promise<PostOutcome>

export type PostOutcome =
  | { readonly kind: 'answered'; readonly status: number; readonly retryAfterMs: number | null }
  /** The address is one that must not be reached from here. */
  | { readonly kind: 'refused'; readonly reason: string }
  | { readonly kind: 'failed'; readonly reason: string }
