import type { DeliveryAttempt } from '../../../services/core/model/ports/notice-store.ts'
import { signal, type ReadonlySignal } from '@preact/signals'
import { failureSentence, type Answer } from '../api/answer.ts'
import type { TellingApi, TellingView } from '../api/telling-api.ts'

/** As many tries as a person looks back on at first, and as many as the monitor gives at once. */
export const FEW_DELIVERIES = 30
export const MOST_DELIVERIES = 500

export interface TellingModel {
  /** How those who are told can be reached; null until it came. */
  readonly view: ReadonlySignal<TellingView | null>
  /** A webhook's secret that was just made: shown once, until put away. */
  readonly secret: ReadonlySignal<{ readonly contactId: string; readonly secret: string } | null>
  /** Tries to deliver, newest first; null until they came. */
  readonly deliveries: ReadonlySignal<readonly DeliveryAttempt[] | null>
  /** Why the mail password was not taken; empty when nothing stands against it. */
  readonly passwordFault: ReadonlySignal<string>
  readonly trouble: ReadonlySignal<string>
  readonly announcement: ReadonlySignal<string>
  readonly load: () => Promise<void>
  readonly loadDeliveries: (limit?: number) => Promise<void>
  readonly setMailPassword: (password: string) => Promise<boolean>
  readonly test: (contact: { id: string; title: string }) => Promise<void>
  readonly makeWebhookSecret: (contactId: string) => Promise<void>
  readonly putSecretAway: () => void
  readonly forget: () => void
}

type Api = Pick<
  TellingApi,
  'telling' | 'testContact' | 'makeWebhookSecret' | 'setMailPassword' | 'deliveries'
>

export function createTellingModel(api: Api): TellingModel {
  const view = signal<TellingView | null>(null)
  const secret = signal<{ contactId: string; secret: string } | null>(null)
  const deliveries = signal<readonly DeliveryAttempt[] | null>(null)
  const passwordFault = signal('')
  const trouble = signal('')
  const announcement = signal('')

  const note = (answer: Answer<unknown>, done: string): boolean => {
    trouble.value = answer.ok ? '' : failureSentence(answer.failure)
    announcement.value = answer.ok ? done : ''
    return answer.ok
  }
  const load = async (): Promise<void> => {
    const answer = await api.telling()
    if (answer.ok) view.value = answer.value
    else trouble.value = failureSentence(answer.failure)
  }
  const loadDeliveries = async (limit = FEW_DELIVERIES): Promise<void> => {
    const answer = await api.deliveries(limit)
    if (answer.ok) deliveries.value = answer.value.deliveries
    else trouble.value = failureSentence(answer.failure)
  }
  return {
    view,
    secret,
    deliveries,
    passwordFault,
    trouble,
    announcement,
    load,
    loadDeliveries,
    setMailPassword: async (password) => {
      const answer = await api.setMailPassword(password)
      passwordFault.value = answer.ok ? '' : failureSentence(answer.failure)
      announcement.value = answer.ok ? 'The password is set. Send a test to see whether it is right.' : ''
      if (answer.ok) await load()
      return answer.ok
    },
    test: async ({ id, title }) => {
      if (note(await api.testContact(id), `A test is on its way to ${title}. What comes of it stands below.`))
        await loadDeliveries()
    },
    makeWebhookSecret: async (contactId) => {
      const answer = await api.makeWebhookSecret(contactId)
      if (!note(answer, '') || !answer.ok) return
      secret.value = { contactId, secret: answer.value.secret }
      await load()
    },
    putSecretAway: () => {
      secret.value = null
    },
    forget: () => {
      view.value = secret.value = deliveries.value = null
      passwordFault.value = ''
      trouble.value = announcement.value = ''
    },
  }
}
