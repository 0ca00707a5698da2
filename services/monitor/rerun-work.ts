import { openPast } from '../adapters/records-sqlite/open-past.ts'
import type { RerunOrder, RerunOutcome } from '../core/model/rerun.ts'
import { alarmsOnRecord, rerunSpan, rerunWith, type RerunSpan } from '../core/study/rerun/rerun.ts'
import { rerunRemarks } from '../core/study/rerun/remarks.ts'
import type { LongWorkKind } from './long-work.ts'

export interface RerunWorkOrder {
  readonly order: RerunOrder
  /** In the order in which they are run; the first is today's, the second the tried one. */
  readonly values: readonly number[]
}

export type RerunPart =
  | {
      readonly type: 'span'
      readonly span: RerunSpan
      readonly onRecord: RerunOutcome['alarms']
      readonly remarks: readonly string[]
    }
  | { readonly type: 'outcome'; readonly outcome: RerunOutcome }

/** Sends the past through the kernel once for each value, and hands over each outcome when it is whole. */
export const rerunWork: LongWorkKind = (given, { context, share, part }) => {
  const { order, values } = given as RerunWorkOrder
  const tell = (found: RerunPart): void => part(found)
  const past = openPast({ dataDir: String(context['dataDir']) })
  try {
    const span = rerunSpan(past, order)
    if (span === null)
      throw new Error('nothing was recorded before the end of this period: choose a later one')
    tell({
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
      const onShare = (own: number): void => share((i + own) / values.length, doing)
      onShare(0)
      tell({ type: 'outcome', outcome: rerunWith(past, { span, limit: order.limit, value, onShare }) })
    })
  } finally {
    past.close()
  }
}
