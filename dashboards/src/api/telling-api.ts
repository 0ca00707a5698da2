import type { PersonRole } from '../../../services/core/model/ports/accounts.ts'
import type { DeliveryAttempt } from '../../../services/core/model/ports/notice-store.ts'
import type { DeviceAddress } from '../phone/notice-ability.ts'
import type { Answer } from './answer.ts'
import type { Client } from './client.ts'

export interface KnownDevice {
  readonly id: string
  readonly title: string
  readonly createdMs: number
  /** When a notice last reached it; null for never. */
  readonly lastOkMs: number | null
}

/** How those who are told can be reached now. */
export interface TellingView {
  /** Where the shop is reached from elsewhere; null when it cannot be. */
  readonly publicUrl: string | null
  readonly mail: { readonly configured: boolean; readonly passwordSet: boolean }
  readonly contacts: readonly {
    readonly id: string
    readonly title: string
    readonly devices: readonly KnownDevice[]
    readonly replyPathProvenMs: number | null
    readonly webhookSecretSet: boolean
  }[]
  readonly problems: readonly string[]
}

export interface PersonView {
  readonly id: string
  readonly name: string
  readonly role: PersonRole
}

/** Calls about people, their devices, and who is told. */
export interface TellingApi {
  readonly people: () => Promise<Answer<{ people: PersonView[] }>>
  readonly addPerson: (given: {
    name: string
    role: PersonRole
    password?: string
  }) => Promise<Answer<PersonView>>
  readonly removePerson: (id: string) => Promise<Answer<unknown>>
  readonly changeRole: (id: string, role: PersonRole) => Promise<Answer<unknown>>
  readonly makeSignInLink: (id: string) => Promise<Answer<{ path: string; leftMs: number }>>
  readonly signInLink: (id: string) => Promise<Answer<{ waiting: boolean }>>
  readonly telling: () => Promise<Answer<TellingView>>
  readonly testContact: (contactId: string) => Promise<Answer<unknown>>
  readonly makeWebhookSecret: (contactId: string) => Promise<Answer<{ secret: string }>>
  readonly setMailPassword: (password: string) => Promise<Answer<unknown>>
  /** Every try to deliver a notice, newest first. */
  readonly deliveries: (limit: number) => Promise<Answer<{ deliveries: DeliveryAttempt[] }>>
  readonly devices: () => Promise<Answer<{ devices: KnownDevice[] }>>
  readonly addDevice: (given: {
    title: string
    subscription: DeviceAddress
  }) => Promise<Answer<{ id: string }>>
  readonly removeDevice: (id: string) => Promise<Answer<unknown>>
  readonly pushKey: () => Promise<Answer<{ key: string }>>
}

const V1 = '/api/v1'
const part = encodeURIComponent

export function createTellingApi({ ask }: Client): TellingApi {
  const get = <T>(path: string) => ask<T>({ method: 'GET', path: V1 + path })
  const post = <T>(path: string, body?: unknown) =>
    ask<T>({ method: 'POST', path: V1 + path, ...(body === undefined ? {} : { body }) })
  const put = (path: string, body: unknown) => ask({ method: 'PUT', path: V1 + path, body })
  const remove = (path: string) => ask({ method: 'DELETE', path: V1 + path })
  return {
    people: () => get('/people'),
    addPerson: (given) => post('/people', given),
    removePerson: (id) => remove(`/people/${part(id)}`),
    changeRole: (id, role) => put(`/people/${part(id)}/role`, { role }),
    makeSignInLink: (id) => post(`/people/${part(id)}/sign-in-link`),
    signInLink: (id) => get(`/people/${part(id)}/sign-in-link`),
    telling: () => get('/telling'),
    testContact: (id) => post(`/contacts/${part(id)}/test`),
    makeWebhookSecret: (id) => post(`/contacts/${part(id)}/webhook-secret`),
    setMailPassword: (password) => put('/telling/mail-password', { password }),
    deliveries: (limit) => get(`/deliveries?limit=${limit}`),
    devices: () => get('/devices'),
    addDevice: (given) => post('/devices', given),
    removeDevice: (id) => remove(`/devices/${part(id)}`),
    pushKey: () => get('/devices/push-key'),
  }
}
