import { signal, type ReadonlySignal } from '@preact/signals'
import type { SensorBinding } from '../../../services/core/model/settings.ts'
import type { SensorsView } from '../../../services/core/model/views.ts'
import { failureSentence, type Answer, type FieldError } from '../api/answer.ts'
import type { NodeSecret, ShopApi } from '../api/shop-api.ts'

export interface SensorsModel {
  readonly view: ReadonlySignal<SensorsView | null>
  readonly trouble: ReadonlySignal<string>
  /** Faults in the fields of the last form that was sent. */
  readonly errors: ReadonlySignal<readonly FieldError[]>
  readonly announcement: ReadonlySignal<string>
  /** A secret that was just made: shown once, until put away. */
  readonly secret: ReadonlySignal<NodeSecret | null>
  readonly load: () => Promise<void>
  readonly assign: (binding: SensorBinding) => Promise<boolean>
  readonly unassign: (sensorId: string) => Promise<boolean>
  readonly addNode: (node: { id: string; title: string }) => Promise<boolean>
  readonly replaceSecret: (id: string) => Promise<boolean>
  readonly revokeSecret: (id: string) => Promise<boolean>
  readonly putSecretAway: () => void
  readonly forget: () => void
}

type SensorsApi = Pick<
  ShopApi,
  'sensors' | 'assign' | 'unassign' | 'addNode' | 'replaceNodeSecret' | 'revokeNodeSecret'
>

export function createSensorsModel(api: SensorsApi): SensorsModel {
  const view = signal<SensorsView | null>(null)
  const trouble = signal('')
  const errors = signal<readonly FieldError[]>([])
  const announcement = signal('')
  const secret = signal<NodeSecret | null>(null)

  const note = <T>(answer: Answer<T>): void => {
    trouble.value = answer.ok ? '' : failureSentence(answer.failure)
    errors.value = answer.ok ? [] : answer.failure.errors
  }
  const load = async (): Promise<void> => {
    const answer = await api.sensors()
    if (answer.ok) view.value = answer.value
    else trouble.value = failureSentence(answer.failure)
  }
  const act = async <T>(asking: Promise<Answer<T>>, done: string): Promise<Answer<T>> => {
    const answer = await asking
    note(answer)
    announcement.value = answer.ok ? done : ''
    if (answer.ok) await load()
    return answer
  }
  const keepSecret = (answer: Answer<NodeSecret>): boolean => {
    if (answer.ok) secret.value = answer.value
    return answer.ok
  }
  return {
    view,
    trouble,
    errors,
    announcement,
    secret,
    load,
    assign: async (binding) => (await act(api.assign(binding), `${binding.id} is assigned.`)).ok,
    unassign: async (id) => (await act(api.unassign(id), `${id} is no longer assigned.`)).ok,
    addNode: async ({ id, title }) =>
      keepSecret(await act(api.addNode({ id, title }), `${title} is added. Its secret is shown once.`)),
    replaceSecret: async (id) =>
      keepSecret(
        await act(api.replaceNodeSecret(id), `${id} has a new secret. The old one no longer works.`),
      ),
    revokeSecret: async (id) => (await act(api.revokeNodeSecret(id), `${id} can no longer sign in.`)).ok,
    putSecretAway: () => {
      secret.value = null
    },
    forget: () => {
      view.value = secret.value = null
      errors.value = []
      trouble.value = announcement.value = ''
    },
  }
}
