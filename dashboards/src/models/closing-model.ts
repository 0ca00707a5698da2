import { signal, type ReadonlySignal } from '@preact/signals'
import { failureSentence, type Answer } from '../api/answer.ts'
import type { ClosingAnswer, ShopApi } from '../api/shop-api.ts'

export interface ClosingModel {
  /** null until it came for the first time. */
  readonly list: ReadonlySignal<ClosingAnswer | null>
  readonly trouble: ReadonlySignal<string>
  /** What was last done, to be read out. */
  readonly announcement: ReadonlySignal<string>
  /** What a step asks for; undefined where it is not in the list. */
  readonly stepText: (id: string) => string | undefined
  readonly load: () => Promise<void>
  readonly tick: (step: { id: string; machineId: string | null; done: boolean }) => Promise<void>
  readonly sayServicing: (machineId: string, servicing: boolean) => Promise<void>
  readonly finish: () => Promise<void>
  readonly forget: () => void
}

type Api = Pick<ShopApi, 'closing' | 'tickClosingStep' | 'sayServicing' | 'finishClosing'>

export function createClosingModel(api: Api): ClosingModel {
  const list = signal<ClosingAnswer | null>(null)
  const trouble = signal('')
  const announcement = signal('')
  let asked = 0

  const load = async (): Promise<void> => {
    const mine = ++asked
    const answer = await api.closing()
    // An older answer must not undo what was tapped since.
    if (mine !== asked) return
    trouble.value = answer.ok ? '' : failureSentence(answer.failure)
    if (answer.ok) list.value = answer.value
  }
  const say = async (answer: Answer<unknown>, words: () => string): Promise<void> => {
    await load()
    const isKept = !answer.ok && answer.failure.kind === 'kept'
    if (!answer.ok) trouble.value = isKept ? '' : failureSentence(answer.failure)
    announcement.value = answer.ok ? words() : isKept ? 'Kept on this device, and not sent yet.' : ''
  }
  const verdict = (): string => list.peek()?.verdict.sentence ?? ''
  return {
    list,
    trouble,
    announcement,
    stepText: (id) =>
      list
        .peek()
        ?.groups.flatMap((g) => g.steps)
        .find((s) => s.id === id)?.text,
    load,
    tick: async ({ id, machineId, done }) =>
      say(
        await api.tickClosingStep(id, { machineId, done }),
        () => `${done ? 'Done' : 'Taken back'}. ${verdict()}`,
      ),
    sayServicing: async (machineId, servicing) =>
      say(await api.sayServicing(machineId, servicing), () =>
        servicing
          ? 'Noted: you are working on it. Say so when it is capped again.'
          : 'Noted: done, and capped.',
      ),
    finish: async () => say(await api.finishClosing(), () => `The list is finished. ${verdict()}`),
    forget: () => {
      asked++
      list.value = null
      trouble.value = announcement.value = ''
    },
  }
}
