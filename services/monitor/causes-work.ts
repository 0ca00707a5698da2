import type { NightRenewal, NightStore } from '../core/model/ports/night-store.ts'
import type { RecordsReader } from '../core/model/ports/records.ts'
import { renewNights } from '../core/study/renew-nights.ts'

/** What is to be worked out: the nights that are stale. */
export interface CausesJob {
  readonly kind: 'daily'
  readonly nowMs: number
}

/** What the work says while it goes on. */
export type CausesWord =
  | { readonly type: 'progress'; readonly share: number; readonly doing: string }
  /** To be written by the one who may write. */
  | { readonly type: 'renewed'; readonly renewal: NightRenewal }

export interface CausesWorkParts {
  readonly reader: RecordsReader
  readonly store: NightStore
  readonly say: (word: CausesWord) => void
}

/** The work itself, wherever it runs. It reads only: what it finds is said, and written by the monitor. */
export function runCausesWork(job: CausesJob, { reader, store, say }: CausesWorkParts): void {
  const renewal = renewNights({
    reader,
    store,
    nowMs: job.nowMs,
    progress: (share) => say({ type: 'progress', share, doing: 'looking through the nights' }),
  })
  if (renewal) say({ type: 'renewed', renewal })
}
