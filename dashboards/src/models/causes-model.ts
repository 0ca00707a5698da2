import { signal, type ReadonlySignal } from '@preact/signals'
import type { CausesQuestion, CausesStatus } from '../../../services/core/model/causes-view.ts'
import { failureSentence, type Answer } from '../api/answer.ts'
import type { CausesApi } from '../api/causes-api.ts'
import type { Timers } from '../live/coalesce.ts'

export interface CausesModel {
  readonly question: ReadonlySignal<CausesQuestion>
  /** null until it came for the first time. */
  readonly status: ReadonlySignal<CausesStatus | null>
  readonly trouble: ReadonlySignal<string>
  /** Asks for the page, and has it worked out where it is not current. */
  readonly open: () => Promise<void>
  readonly ask: (question: CausesQuestion) => Promise<void>
  readonly compute: () => Promise<void>
  readonly stop: () => Promise<void>
  /** The page is left: nobody looks how far it is any more. */
  readonly leave: () => void
  readonly forget: () => void
}

const LOOK_EVERY_MS = 700
const EVERYTHING: CausesQuestion = { from: null, to: null, machineId: null }

export function createCausesModel(api: CausesApi, timers: Pick<Timers, 'later'>): CausesModel {
  const question = signal(EVERYTHING)
  const status = signal<CausesStatus | null>(null)
  const trouble = signal('')
  let asked = 0
  let cancel: (() => void) | null = null

  const stopLooking = (): void => {
    cancel?.()
    cancel = null
  }
  /** An older answer must not hide what was asked for since. */
  const take = (mine: number, answer: Answer<CausesStatus>): boolean => {
    if (mine !== asked) return false
    trouble.value = answer.ok ? '' : failureSentence(answer.failure)
    if (answer.ok) status.value = answer.value
    return answer.ok
  }
  const look = async (mine: number): Promise<void> => {
    if (!take(mine, await api.causes(question.peek()))) return
    if (status.peek()?.work) cancel = timers.later(LOOK_EVERY_MS, () => void look(mine))
  }
  const compute = async (): Promise<void> => {
    stopLooking()
    const mine = ++asked
    if (take(mine, await api.computeCauses(question.peek()))) await look(mine)
  }
  const open = async (): Promise<void> => {
    stopLooking()
    const mine = ++asked
    if (!take(mine, await api.causes(question.peek()))) return
    const { isCurrent, work, problem } = status.peek() ?? {}
    if (work) await look(mine)
    else if (!isCurrent && !problem) await compute()
  }
  return {
    question,
    status,
    trouble,
    open,
    ask: async (wanted) => {
      question.value = wanted
      await open()
    },
    compute,
    stop: async () => {
      stopLooking()
      const mine = ++asked
      await api.dropCauses()
      take(mine, await api.causes(question.peek()))
    },
    leave: () => {
      asked++
      stopLooking()
    },
    forget: () => {
      asked++
      stopLooking()
      question.value = EVERYTHING
      status.value = null
      trouble.value = ''
    },
  }
}
