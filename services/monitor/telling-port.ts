import { createHash, createHmac, randomBytes } from 'node:crypto'
import type { Notice } from '../core/model/notice.ts'
import { LONGEST_REPLY_LINK_MS } from '../core/model/contact.ts'
import type { NoticeStore } from '../core/model/ports/notice-store.ts'
import type { SecretOutcome, Telling } from '../core/model/ports/telling.ts'
import type { Settings } from '../core/model/settings.ts'
import type { Sealer } from './key-file.ts'

const MAIL_PASSWORD = 'the mail password'
const PUSH_KEYS = 'the push keys'
const webhookName = (contactId: string): string => `the webhook secret of ${contactId}`

export interface TellingParts {
  readonly store: NoticeStore
  readonly sealer: Sealer
  readonly publicUrl: string | null
  readonly settings: () => Settings
  readonly nowMs: () => number
  /** A new key pair for RFC 8292. */
  readonly createPushKeys: () => PushKeys
}

export interface PushKeys {
  readonly publicKey: string
  readonly privateKey: string
}

/** Telling, with the secrets that only those who send may see. */
export interface TellingInside extends Telling {
  /** What is wrong with the key file or what was sealed with it. */
  readonly keyProblems: () => readonly string[]
  readonly pushKeys: () => SecretOutcome<PushKeys>
  readonly mailPassword: () => SecretOutcome<string> | null
  readonly webhookSecret: (contactId: string) => SecretOutcome<string> | null
  /** Where this contact answers this notice; null where replies cannot reach the shop. The same on every try. */
  readonly replyUrlOf: (notice: Notice) => string | null
}

/** Secrets, devices and links to answer by. */
export function createTelling({
  store,
  sealer,
  publicUrl,
  settings,
  nowMs,
  createPushKeys,
}: TellingParts): TellingInside {
  const put = (name: string, text: string): SecretOutcome<null> => {
    const sealed = sealer.seal(name, text)
    if (!sealed.ok) return sealed
    store.putSealedSecret(name, sealed.value)
    return { ok: true, value: null }
  }
  const get = (name: string): SecretOutcome<string> | null => {
    const sealed = store.sealedSecret(name)
    return sealed === null ? null : sealer.open(name, sealed)
  }
  const makePushKeys = (): SecretOutcome<PushKeys> => {
    const keys = createPushKeys()
    const done = put(PUSH_KEYS, JSON.stringify(keys))
    return done.ok ? { ok: true, value: keys } : done
  }
  const pushKeys = (): SecretOutcome<PushKeys> => {
    const kept = get(PUSH_KEYS)
    if (kept === null) return makePushKeys()
    return kept.ok ? { ok: true, value: JSON.parse(kept.value) as PushKeys } : kept
  }
  const keyProblems = (): readonly string[] => {
    const keyProblem = sealer.problem()
    if (keyProblem !== null) return [keyProblem]
    const opened = store.sealedNames().map((name) => get(name))
    return opened.flatMap((o) => (o && !o.ok ? [o.reason] : []))
  }
  const publicKeyOf = (keys: SecretOutcome<PushKeys>): SecretOutcome<string> =>
    keys.ok ? { ok: true, value: keys.value.publicKey } : keys
  return {
    publicUrl: () => publicUrl,
    pushKeys,
    pushKey: () => publicKeyOf(pushKeys()),
    renewPushKeys: () => {
      const keys = makePushKeys()
      if (keys.ok) for (const { id } of store.devices()) store.removeDevice(id)
      return publicKeyOf(keys)
    },
    setMailPassword: (password) => put(MAIL_PASSWORD, password),
    mailPassword: () => get(MAIL_PASSWORD),
    mailPasswordSet: () => store.sealedSecret(MAIL_PASSWORD) !== null,
    makeWebhookSecret: (contactId) => {
      const secret = `whsec_${randomBytes(32).toString('base64')}`
      const done = put(webhookName(contactId), secret)
      return done.ok ? { ok: true, value: secret } : done
    },
    webhookSecret: (contactId) => get(webhookName(contactId)),
    webhookSecretSet: (contactId) => store.sealedSecret(webhookName(contactId)) !== null,
    devices: store.devices,
    putDevice: store.putDevice,
    removeDevice: store.removeDevice,
    attempts: store.attempts,
    replyLink: (token) => store.replyLink(sha256(token)),
    replyUrlOf: (notice) => {
      if (publicUrl === null || !notice.asksForReply) return null
      const key = sealer.derive('reply links')
      if (!key.ok) return null
      const { alarmId, contactId, key: noticeKey } = notice
      const token = createHmac('sha256', key.value)
        .update(`${alarmId ?? ''}|${contactId}|${noticeKey}`)
        .digest('base64url')
      const expiresMs = nowMs() + LONGEST_REPLY_LINK_MS
      store.putReplyLink({ tokenHash: sha256(token), contactId, alarmId, noticeKey, expiresMs })
      return `${publicUrl.replace(/\/+$/, '')}/r/${token}`
    },
    keyProblems,
    problems: () => [...keyProblems(), ...settingProblems(settings(), publicUrl, store)],
  }
}

function settingProblems(
  settings: Settings,
  publicUrl: string | null,
  store: NoticeStore,
): readonly string[] {
  const noMail = settings.mail ? [] : settings.contacts.filter((c) => c.mail !== undefined)
  return [
    ...(publicUrl === null && settings.contacts.length > 0
      ? [
          'replies cannot reach the shop: give NIGHTCAP_PUBLIC_URL, the https address the board is reached by from outside',
        ]
      : []),
    ...noMail.map((c) => `${c.title} has a mail address, but no mail server is set: give one under Setup`),
    ...(settings.mail?.user !== undefined && store.sealedSecret(MAIL_PASSWORD) === null
      ? ['the mail server asks for a password, and none is set: give it under Setup']
      : []),
  ]
}

function sha256(text: string): string {
  return createHash('sha256').update(text).digest('hex')
}
