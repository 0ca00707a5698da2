import type { Contact } from '../core/model/contact.ts'
import type {
  MailTarget,
  OutgoingNotice,
  PushTarget,
  SendNotice,
  SendOutcome,
  WebhookTarget,
} from '../core/model/ports/notify.ts'
import type { Settings } from '../core/model/settings.ts'
import type { DeliveryParts } from './deliver-notices.ts'
import type { Shipment, Target } from './plan-deliveries.ts'
import type { TellingInside } from './telling-port.ts'

export interface WaysOutParts {
  readonly settings: () => Settings
  readonly telling: TellingInside
  readonly nowMs: () => number
  readonly push: SendNotice<PushTarget>
  readonly mail: SendNotice<MailTarget>
  readonly webhook: SendNotice<WebhookTarget>
}

/** From a contact to the places where it is reached, and from there to the sender that knows how. */
export function createWaysOut(parts: WaysOutParts): Pick<DeliveryParts, 'targetsOf' | 'send'> {
  const contactOf = (id: string): Contact | undefined => parts.settings().contacts.find((c) => c.id === id)
  return {
    targetsOf: (contactId) => {
      const contact = contactOf(contactId)
      return contact ? targetsOf(contact, parts) : []
    },
    send: async (shipment) => {
      const contact = contactOf(shipment.contactId)
      if (!contact) return { outcome: dead('this contact is no more'), target: '' }
      const { notice } = shipment
      const out = { notice, replyUrl: parts.telling.replyUrlOf(notice), sentMs: parts.nowMs() }
      if (shipment.channel === 'push') return sendPush(shipment, out, parts)
      return shipment.channel === 'mail' ? sendMail(contact, out, parts) : sendWebhook(contact, out, parts)
    },
  }
}

function targetsOf(contact: Contact, { telling, settings }: WaysOutParts): readonly Target[] {
  const devices =
    contact.push && contact.personId !== undefined
      ? telling.devices().filter((d) => d.personId === contact.personId)
      : []
  return [
    ...devices.map((d) => ({ channel: 'push' as const, targetId: d.id })),
    ...(contact.mail !== undefined && settings().mail
      ? [{ channel: 'mail' as const, targetId: contact.id }]
      : []),
    ...(contact.webhookUrl === undefined ? [] : [{ channel: 'webhook' as const, targetId: contact.id }]),
  ]
}

type Sent = ReturnType<DeliveryParts['send']>
const dead = (reason: string): SendOutcome => ({ kind: 'dead', reason })
const later = (reason: string): SendOutcome => ({ kind: 'later', reason, retryAfterMs: null })

async function sendPush({ targetId }: Shipment, out: OutgoingNotice, { telling, push }: WaysOutParts): Sent {
  const device = telling.devices().find((d) => d.id === targetId)
  if (!device) return { outcome: dead('this device was taken away'), target: '' }
  return { outcome: await push(out, device), target: `${device.title} at ${new URL(device.endpoint).host}` }
}

async function sendMail(
  contact: Contact,
  out: OutgoingNotice,
  { telling, settings, mail }: WaysOutParts,
): Sent {
  const { mail: server } = settings()
  if (!server || contact.mail === undefined) return { outcome: dead('no mail is set any more'), target: '' }
  const target = maskedMail(contact.mail)
  const password = server.user === undefined ? null : telling.mailPassword()
  if (password && !password.ok) return { outcome: later(password.reason), target }
  const { host, port, security, from, user = null } = server
  const to = { to: contact.mail, host, port, security, from, user, password: password?.value ?? null }
  return { outcome: await mail(out, to), target }
}

async function sendWebhook(
  contact: Contact,
  out: OutgoingNotice,
  { telling, settings, webhook }: WaysOutParts,
): Sent {
  const { site, telling: rules } = settings()
  if (contact.webhookUrl === undefined) return { outcome: dead('no webhook is set any more'), target: '' }
  const target = new URL(contact.webhookUrl).origin
  const secret = telling.webhookSecret(contact.id)
  if (secret && !secret.ok) return { outcome: later(secret.reason), target }
  const to = {
    url: contact.webhookUrl,
    secret: secret?.value ?? null,
    allowPrivate: rules.allowPrivateWebhooks,
    source: telling.publicUrl() ?? `urn:nightcap:${site.id}`,
  }
  return { outcome: await webhook(out, to), target }
}

/** Enough of a mail address to know which it was. */
export function maskedMail(address: string): string {
  const [name = '', host = ''] = address.split('@')
  return `${name.slice(0, 1)}…@${host}`
}
