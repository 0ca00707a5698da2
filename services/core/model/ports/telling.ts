import type { DeliveryAttempt, Device, ReplyLink } from './notice-store.ts'

export type SecretOutcome<T> =
  { readonly ok: true; readonly value: T } | { readonly ok: false; readonly reason: string }

/** How notices leave the house and answers come back, as the web sees it. */
export interface Telling {
  /** Where replies reach the shop (https), or null. */
  publicUrl: () => string | null
  /** The public half of the key that push services know us by (base64url); made at first need. */
  pushKey: () => SecretOutcome<string>
  /** Makes new push keys, and a new key file where there is none: every device has to allow notices again. */
  renewPushKeys: () => SecretOutcome<string>
  setMailPassword: (password: string) => SecretOutcome<null>
  mailPasswordSet: () => boolean
  /** Makes a new signing secret, shown this once. */
  makeWebhookSecret: (contactId: string) => SecretOutcome<string>
  webhookSecretSet: (contactId: string) => boolean
  devices: () => readonly Device[]
  putDevice: (device: Omit<Device, 'lastOkMs'>) => void
  removeDevice: (id: string) => boolean
  attempts: (limit: number) => readonly DeliveryAttempt[]
  /** The link that belongs to a token, expired or not; null when there is none. */
  replyLink: (token: string) => ReplyLink | null
  /** What keeps notices from leaving or answers from coming back, with the cure. */
  problems: () => readonly string[]
}
