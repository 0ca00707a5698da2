import { signal, type ReadonlySignal } from '@preact/signals'
import type { MorningView } from '../../../services/core/model/morning.ts'
import { failureSentence } from '../api/answer.ts'
import type { NozzleCheck, ShopApi } from '../api/shop-api.ts'

export interface MorningModel {
  /** null until it came for the first time. */
  readonly report: ReadonlySignal<MorningView | null>
  readonly trouble: ReadonlySignal<string>
  /** What was last done, to be read out. */
  readonly announcement: ReadonlySignal<string>
  /** The last night, or the one that began on this day (YYYY-MM-DD). */
  readonly load: (night?: string) => Promise<void>
  readonly see: () => Promise<void>
  /** Gives what went wrong, or ''. */
  readonly logCheck: (check: NozzleCheck) => Promise<string>
  readonly forget: () => void
}

export function createMorningModel(
  api: Pick<ShopApi, 'morning' | 'seeMorning' | 'logNozzleCheck'>,
): MorningModel {
  const report = signal<MorningView | null>(null)
  const trouble = signal('')
  const announcement = signal('')
  let asked = 0
  let shown: string | undefined

  const load = async (night?: string): Promise<void> => {
    const mine = ++asked
    shown = night
    const answer = await api.morning(night)
    // An older answer must not hide the night that was asked for since.
    if (mine !== asked) return
    trouble.value = answer.ok ? '' : failureSentence(answer.failure)
    if (answer.ok) report.value = answer.value
  }
  return {
    report,
    trouble,
    announcement,
    load,
    see: async () => {
      const answer = await api.seeMorning()
      await load(shown)
      if (!answer.ok) trouble.value = failureSentence(answer.failure)
      announcement.value = answer.ok ? 'Noted: you saw what is over.' : ''
    },
    logCheck: async (check) => {
      const answer = await api.logNozzleCheck(check)
      return answer.ok ? '' : failureSentence(answer.failure)
    },
    forget: () => {
      asked++
      report.value = null
      trouble.value = announcement.value = ''
    },
  }
}
