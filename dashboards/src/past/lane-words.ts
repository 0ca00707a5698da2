import type { HistoryTask } from '../../../services/core/model/history-view.ts'
import type { MachineDoing } from '../../../services/core/model/quarter.ts'

/** From the bottom of a ribbon to its top. */
export const POWER_ORDER = [
  'printing',
  'cleaning',
  'on',
  'standby',
  'off',
  'unknown',
] as const satisfies readonly MachineDoing[]

export const TASK_END_WORDS: Readonly<Record<HistoryTask['state'], string>> = {
  open: 'open',
  signedOff: 'signed off',
  overByItself: 'over by itself',
  withdrawn: 'withdrawn',
  missed: 'missed',
}
