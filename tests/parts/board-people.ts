import type { DeliveryAttempt } from '../../services/core/model/ports/notice-store.ts'
import type { PersonRole } from '../../services/core/model/ports/accounts.ts'
import { SHOP_NOW_MS } from './invented-shop.ts'

export interface InventedPerson {
  id: string
  name: string
  role: PersonRole
}
export interface InventedDevice {
  id: string
  title: string
  createdMs: number
  lastOkMs: number | null
}

/** People, their devices and the links of an invented shop; tests change them while it runs. */
export interface PeopleState {
  people: InventedPerson[]
  devices: InventedDevice[]
  /** Codes that still work, and whose they are. */
  readonly codes: Map<string, string>
  publicUrl: string | null
  replyPathProvenMs: number | null
  readonly tests: string[]
  mailPassword: string | null
  deliveries: DeliveryAttempt[]
}

export function inventedPeople(): PeopleState {
  return {
    people: [
      { id: 'person-1', name: 'Mira', role: 'owner' },
      { id: 'person-2', name: 'Ben', role: 'operator' },
    ],
    devices: [],
    codes: new Map(),
    publicUrl: null,
    replyPathProvenMs: SHOP_NOW_MS - 2 * 3_600_000,
    tests: [],
    mailPassword: null,
    deliveries: inventedDeliveries(),
  }
}

function inventedDeliveries(): DeliveryAttempt[] {
  const minutesAgo = (min: number): number => SHOP_NOW_MS - min * 60_000
  const push = { channel: 'push', target: 'Mira, phone at push.example.org' } as const
  return [
    { ...push, atMs: minutesAgo(3), noticeKey: 'n3', contactId: 'mira', outcome: 'taken', reason: '' },
    {
      atMs: minutesAgo(4),
      noticeKey: 'n2',
      contactId: 'ben',
      channel: 'mail',
      target: 'b…@example.org',
      outcome: 'later',
      reason: 'the mail server refused user or password: set the password again under Setup',
    },
    {
      atMs: minutesAgo(26 * 60),
      noticeKey: 'n1',
      contactId: 'gone',
      channel: 'webhook',
      target: 'https://hooks.example.org',
      outcome: 'dead',
      reason: 'it answered 404',
    },
  ]
}

interface Asked {
  readonly method: string
  readonly path: string
  readonly fields: Record<string, unknown>
  readonly hasMailServer: boolean
  readonly contacts: readonly {
    readonly id: string
    readonly title: string
    readonly personId?: string | undefined
  }[]
}
type Reply = { status: number; body?: unknown }

/** Answers what the screens ask about people, devices and telling; null for anything else. */
export function answerPeople(state: PeopleState, asked: Asked): Reply | null {
  const { method, path, fields } = asked
  const [, noun = '', id = '', verb = ''] = path.split('/').map(decodeURIComponent)
  const call = `${method} ${noun}${id && '/:id'}${verb && `/${verb}`}`
  switch (call) {
    case 'GET people':
      return { status: 200, body: { people: state.people } }
    case 'POST people': {
      const person = {
        id: `person-${state.people.length + 1}`,
        name: String(fields['name']),
        role: fields['role'],
      }
      state.people.push(person as InventedPerson)
      return { status: 201, body: person }
    }
    case 'DELETE people/:id':
      state.people = state.people.filter((p) => p.id !== id)
      return { status: 204 }
    case 'PUT people/:id/role':
      state.people = state.people.map((p) => (p.id === id ? { ...p, role: fields['role'] as PersonRole } : p))
      return { status: 204 }
    case 'POST people/:id/sign-in-link': {
      const code = `code-of-${id}-${state.codes.size + 1}`
      state.codes.set(code, id)
      return { status: 201, body: { path: `/#sign-in=${code}`, leftMs: 15 * 60_000 } }
    }
    case 'GET people/:id/sign-in-link':
      return { status: 200, body: { waiting: [...state.codes.values()].includes(id) } }
    case 'GET devices':
      return { status: 200, body: { devices: state.devices } }
    case 'GET telling':
      return { status: 200, body: tellingOf(state, asked) }
    case 'PUT telling/:id':
      state.mailPassword = String(fields['password'])
      return { status: 204 }
    case 'GET deliveries':
      return { status: 200, body: { deliveries: state.deliveries } }
    case 'POST contacts/:id/test':
      state.tests.push(id)
      return { status: 204 }
    case 'POST contacts/:id/webhook-secret':
      return { status: 201, body: { secret: 'an-invented-secret-of-no-use' } }
    default:
      return null
  }
}

function tellingOf(state: PeopleState, { contacts, hasMailServer }: Asked): unknown {
  return {
    publicUrl: state.publicUrl,
    vapidPublicKey: 'invented',
    mail: { configured: hasMailServer, passwordSet: state.mailPassword !== null },
    contacts: contacts.map(({ id, title, personId }) => ({
      id,
      title,
      devices: personId === 'person-1' ? state.devices : [],
      replyPathProvenMs: personId === 'person-1' ? state.replyPathProvenMs : null,
      webhookSecretSet: false,
    })),
    problems:
      state.publicUrl === null ? ['NIGHTCAP_PUBLIC_URL is not set: replies cannot reach the shop'] : [],
  }
}
