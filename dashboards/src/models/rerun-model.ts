import { signal, type ReadonlySignal } from '@preact/signals'
import type { LimitChoice, RerunOrder, RerunView } from '../../../services/core/model/rerun.ts'
import { failureSentence, type Answer } from '../api/answer.ts'
import type { RerunApi } from '../api/rerun-api.ts'

export interface RerunModel {
  /** What may be tried; null until it came. */
  readonly limits: ReadonlySignal<readonly LimitChoice[] | null>
  /** The newest re-run; null where there is none. */
  readonly rerun: ReadonlySignal<RerunView | null>
  readonly trouble: ReadonlySignal<string>
  /** What was last done, to be read out. */
  readonly announcement: ReadonlySignal<string>
  readonly load: () => Promise<void>
  readonly start: (order: RerunOrder) => Promise<void>
  readonly stop: () => Promise<void>
  /** Writes this value of the re-run into the settings. */
  readonly use: (value: number) => Promise<boolean>
  /** While one runs, how far it is. */
  readonly everySecond: () => void
  readonly forget: () => void
}

export function createRerunModel(api: RerunApi): RerunModel {
  const limits = signal<readonly LimitChoice[] | null>(null)
  const rerun = signal<RerunView | null>(null)
  const trouble = signal('')
  const announcement = signal('')
  let asked = 0

  const took = (answer: Answer<unknown>): boolean => {
    trouble.value = answer.ok ? '' : failureSentence(answer.failure)
    return answer.ok
  }
  const look = async (id: string): Promise<void> => {
    const mine = ++asked
    const answer = await api.look(id)
    if (mine !== asked) return
    const before = rerun.peek()
    if (answer.ok) rerun.value = answer.value
    else took(answer)
    if (answer.ok && before?.state === 'running' && answer.value.state === 'done')
      announcement.value = 'The re-run is done.'
  }
  const load = async (): Promise<void> => {
    const [choices, newest] = await Promise.all([api.limits(), api.newest()])
    if (took(choices) && choices.ok) limits.value = choices.value.limits
    if (took(newest) && newest.ok) rerun.value = newest.value.rerun
  }
  return {
    limits,
    rerun,
    trouble,
    announcement,
    load,
    start: async (order) => {
      announcement.value = ''
      const answer = await api.start(order)
      if (!took(answer) || !answer.ok) return
      announcement.value = 'The re-run has begun.'
      await look(answer.value.id)
    },
    stop: async () => {
      const id = rerun.peek()?.id
      if (id === undefined || !took(await api.stop(id))) return
      await look(id)
      announcement.value = 'Stopped. What was whole by then is shown; the rest was thrown away.'
    },
    use: async (value) => {
      const id = rerun.peek()?.id
      if (id === undefined || !took(await api.use(id, value))) return false
      announcement.value = 'The limit is changed. The figures stand beside it in the history of the settings.'
      const choices = await api.limits()
      if (choices.ok) limits.value = choices.value.limits
      return true
    },
    everySecond: () => {
      const now = rerun.peek()
      if (now?.state === 'running') void look(now.id)
    },
    forget: () => {
      asked++
      limits.value = rerun.value = null
      trouble.value = announcement.value = ''
    },
  }
}
