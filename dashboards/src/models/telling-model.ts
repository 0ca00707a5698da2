import { signal, type ReadonlySignal } from '@preact/signals'
import { failureSentence, type Answer } from '../api/answer.ts'
import type { TellingApi, TellingView } from '../api/telling-api.ts'

export interface TellingModel {
  /** How those who are told can be reached; null until it came. */
  readonly view: ReadonlySignal<TellingView | null>
  /** A webhook's secret that was just made: shown once, until put away. */
  readonly secret: ReadonlySignal<{ readonly contactId: string; readonly secret: string } | null>
  readonly trouble: ReadonlySignal<string>
  readonly announcement: ReadonlySignal<string>
  readonly load: () => Promise<void>
  readonly test: (contact: { id: string; title: string }) => Promise<void>
  readonly makeWebhookSecret: (contactId: string) => Promise<void>
  readonly putSecretAway: () => void
  readonly forget: () => void
}

type Api = Pick<TellingApi, 'telling' | 'testContact' | 'makeWebhookSecret'>

export function createTellingModel(api: Api): TellingModel {
  const view = signal<TellingView | null>(null)
  const secret = signal<{ contactId: string; secret: string } | null>(null)
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
  return {
    view,
    secret,
    trouble,
    announcement,
    load,
    test: async ({ id, title }) => void note(await api.testContact(id), `A test is on its way to ${title}.`),
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
      view.value = secret.value = null
      trouble.value = announcement.value = ''
    },
  }
}
