import { randomUUID } from 'node:crypto'
import type { Reruns, RerunStart, RerunUse } from '../core/model/ports/reruns.ts'
import type { LimitChoice, RerunOrder, RerunView } from '../core/model/rerun.ts'
import type { Settings } from '../core/model/settings.ts'
import { evidenceOf } from '../core/study/rerun/evidence.ts'
import { curveValues, limitChoice, limitChoices, valueProblem } from '../core/study/rerun/limit-choices.ts'
import { beginProgress, progressAfter, progressFailed, type RerunProgress } from './rerun-progress.ts'
import type { RerunWord, RerunWorkOrder } from './rerun-work.ts'
import { startWorkThread, type WorkThread } from './work-thread.ts'

const DAY_MS = 86_400_000
/** A longer period would only repeat itself, and take hours. */
const LONGEST_MS = 5 * 366 * DAY_MS
const SHORTEST_MS = DAY_MS

/** What was asked for, of which settings, and how it stands. */
interface Asked {
  readonly id: string
  readonly order: RerunOrder
  readonly choice: LimitChoice
  readonly values: readonly number[]
  readonly thread: WorkThread
  progress: RerunProgress
}

export interface RerunDesk extends Reruns {
  /** Nothing runs on after this. */
  readonly close: () => Promise<void>
}

/**
 * Re-runs as the web sees them, each in a thread of its own. They end with the monitor.
 *
 * USE-1 only a value that was worked out whole can be put into use, and only while the limit stands where it stood when
 *       the re-run began: else its figures would speak for another change.
 * USE-2 one at a time: a second is refused. The newest can be asked for until the next begins.
 * USE-3 a re-run that is stopped, or fails, keeps what was whole by then.
 */
export function openReruns({
  dataDir,
  settings,
  nowMs,
}: {
  dataDir: string
  settings: () => Settings
  nowMs: () => number
}): RerunDesk {
  let asked: Asked | null = null
  const find = (id: string): Asked | null => (asked?.id === id ? asked : null)
  const begin = (order: RerunOrder, choice: LimitChoice): string => {
    const values = valuesOf(order, choice, settings())
    const job: RerunWorkOrder = { order, values }
    const thread = startWorkThread<RerunWord>(
      { kind: 'rerun', dataDir, job },
      { hear: (word) => void (own.progress = progressAfter(own.progress, word, nowMs())) },
    )
    const own: Asked = { id: randomUUID(), order, choice, values, thread, progress: beginProgress(nowMs()) }
    const change = (next: RerunProgress): void => {
      if (own.progress.state === 'running') own.progress = next
    }
    thread.done.then(
      () => change({ ...own.progress, state: 'done', share: 1, leftMs: null }),
      (error: unknown) => change(progressFailed(own.progress, error)),
    )
    asked = own
    return own.id
  }
  return {
    choices: () => limitChoices(settings()),
    start: (order) => {
      const problem = orderProblem(order, settings())
      if (problem !== null) return { ok: false, code: 'invalid', reason: problem }
      const choice = limitChoice(order.limit, settings())
      if (!choice)
        return { ok: false, code: 'invalid', reason: `limit: there is nothing to try under ${order.limit}` }
      return asked?.progress.state === 'running' ? running() : { ok: true, id: begin(order, choice) }
    },
    newest: () => asked && viewOf(asked),
    look: (id) => {
      const found = find(id)
      return found && viewOf(found)
    },
    stop: (id) => {
      const found = find(id)
      if (found?.progress.state !== 'running') return false
      found.progress = { ...found.progress, state: 'stopped', leftMs: null }
      void found.thread.stop()
      return true
    },
    use: (id, value) => {
      const found = find(id)
      return found ? useOf(viewOf(found), value, settings()) : gone()
    },
    close: async () => {
      if (asked) await asked.thread.stop()
    },
  }
}

/** Today's first, then the tried one, then those of the curve. */
function valuesOf(order: RerunOrder, choice: LimitChoice, settings: Settings): readonly number[] {
  const first = [choice.todayValue, order.value]
  return [...first, ...curveValues(choice, order.value, settings).filter((v) => !first.includes(v))]
}

function running(): RerunStart {
  const reason = 'a re-run is under way: wait for it, or stop it first'
  return { ok: false, code: 'conflict', reason }
}

function orderProblem(order: RerunOrder, settings: Settings): string | null {
  const lengthMs = order.toMs - order.fromMs
  if (lengthMs < SHORTEST_MS)
    return 'toMs: a period is at least a day long: choose a later end or an earlier beginning'
  if (lengthMs > LONGEST_MS) return 'fromMs: a period is at most five years long: choose a later beginning'
  return valueProblem(order, settings)
}

function viewOf({ id, order, choice, values, progress }: Asked): RerunView {
  const { span, ...rest } = progress
  return {
    ...rest,
    id,
    choice,
    order: span ? { ...order, fromMs: span.span.fromMs } : order,
    outcomes: [...progress.outcomes],
    values: [...values].sort((a, b) => a - b),
    onRecord: span ? [...span.onRecord] : [],
    remarks: span ? [...span.remarks] : [],
  }
}

function useOf({ order, choice, outcomes }: RerunView, wanted: number | null, settings: Settings): RerunUse {
  const value = wanted ?? order.value
  const today = outcomes[0]
  const tried = outcomes.find((o) => o.value === value)
  if (!today || !tried)
    return {
      ok: false,
      code: 'conflict',
      reason: 'value: this re-run has not worked that value out: wait for it',
    }
  if (value === today.value)
    return { ok: false, code: 'conflict', reason: 'value: this is how the limit stands today' }
  if (limitChoice(choice.limit, settings)?.todayValue !== choice.todayValue) {
    return {
      ok: false,
      code: 'conflict',
      reason:
        'the limit was changed since this re-run began: run it again, so that its figures are about the change',
    }
  }
  const why = evidenceOf({ choice, order, timeZone: settings.site.timeZone, today, tried })
  return { ok: true, limit: choice.limit, value, why }
}

function gone(): RerunUse {
  return { ok: false, code: 'unknown', reason: 'there is no such re-run any more: start it again' }
}
