import { openPast } from '../adapters/records-sqlite/open-past.ts'
import type { RerunOrder, RerunOutcome } from '../core/model/rerun.ts'
import { alarmsOnRecord, rerunSpan, rerunWith, type RerunSpan } from '../core/study/rerun/rerun.ts'
import { rerunRemarks } from '../core/study/rerun/remarks.ts'
import type { ThreadWork } from './work-thread.ts'

export interface RerunWorkOrder {
  readonly order: RerunOrder
  /** In the order in which they are run; the first is today's, the second the tried one. */
  readonly values: readonly number[]
}

/** What the work says while it goes on. */
export type RerunWord =
  /** How far it is, 0 to 1. */
  | { readonly type: 'progress'; readonly share: number; readonly doing: string }
  | {
      readonly type: 'span'
      readonly span: RerunSpan
      readonly onRecord: RerunOutcome['alarms']
      readonly remarks: readonly string[]
    }
  | { readonly type: 'outcome'; readonly outcome: RerunOutcome }

/** Sends the past through the kernel once for each value, and hands over each outcome when it is whole. */
export const rerunWork: ThreadWork<RerunWorkOrder, RerunWord> = ({ order, values }, { dataDir, say }) => {
  const past = openPast({ dataDir })
  try {
    const span = rerunSpan(past, order)
    if (span === null)
      throw new Error('nothing was recorded before the end of this period: choose a later one')
    say({
      type: 'span',
      span,
      onRecord: alarmsOnRecord(past, span),
      remarks: rerunRemarks(past, { span, order, todayValue: values[0] ?? order.value }),
    })
    values.forEach((value, i) => {
      const doing =
        i === 0
          ? "Today's limit"
          : i === 1
            ? 'The tried limit'
            : `The curve, value ${i + 1} of ${values.length}`
      const onShare = (own: number): void =>
        say({ type: 'progress', share: (i + own) / values.length, doing })
      onShare(0)
      say({ type: 'outcome', outcome: rerunWith(past, { span, limit: order.limit, value, onShare }) })
    })
  } finally {
    past.close()
  }
}
