import { signal, type ReadonlySignal } from '@preact/signals'
import type { SensorBinding } from '../../../services/core/model/settings.ts'
import type { SensorsView } from '../../../services/core/model/views.ts'
import { failureSentence, type Answer, type FieldError } from '../api/answer.ts'
import type { NodeSecret, ShopApi } from '../api/shop-api.ts'
import type { LiveReading } from '../strip/live-tail.ts'

export interface SensorsModel {
  readonly view: ReadonlySignal<SensorsView | null>
  readonly trouble: ReadonlySignal<string>
  /** Faults in the fields of the last form that was sent. */
  readonly errors: ReadonlySignal<readonly FieldError[]>
  readonly announcement: ReadonlySignal<string>
  /** A secret that was just made: shown once, until put away. */
  readonly secret: ReadonlySignal<NodeSecret | null>
  /** The newest reading of each sensor that was heard since the page is open, by sensor id. */
  readonly latest: ReadonlySignal<ReadonlyMap<string, LiveReading>>
  /** Takes readings as they come in; false when one is of a sensor that the list does not hold yet. */
  readonly take: (readings: readonly LiveReading[]) => boolean
  readonly load: () => Promise<void>
  readonly assign: (binding: SensorBinding) => Promise<boolean>
  readonly unassign: (sensorId: string) => Promise<boolean>
  readonly addNode: (node: { id: string; title: string }) => Promise<boolean>
  readonly replaceSecret: (id: string) => Promise<boolean>
  readonly revokeSecret: (id: string) => Promise<boolean>
  /** Any other act on sensors: its outcome in words, and the list anew. */
  readonly run: (asking: Promise<Answer<unknown>>, done: string) => Promise<boolean>
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
  const latest = signal<ReadonlyMap<string, LiveReading>>(new Map())

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
    latest,
    take: (readings) => {
      latest.value = new Map([...latest.value, ...readings.map((r) => [r.sensorId, r] as const)])
      const known = new Set(view.value?.sensors.map((s) => s.id))
      return readings.every((r) => known.has(r.sensorId))
    },
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
    run: async (asking, done) => (await act(asking, done)).ok,
    putSecretAway: () => {
      secret.value = null
    },
    forget: () => {
      view.value = secret.value = null
      latest.value = new Map()
      errors.value = []
      trouble.value = announcement.value = ''
    },
  }
}
