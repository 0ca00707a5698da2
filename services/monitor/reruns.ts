import type { Reruns, RerunStart, RerunUse } from '../core/model/ports/reruns.ts'
import type { LimitChoice, RerunOrder, RerunView } from '../core/model/rerun.ts'
import type { Settings } from '../core/model/settings.ts'
import { evidenceOf } from '../core/study/rerun/evidence.ts'
import { curveValues, limitChoice, limitChoices, valueProblem } from '../core/study/rerun/limit-choices.ts'
import type { LongWork, WorkView } from './long-work.ts'
import type { RerunPart, RerunWorkOrder } from './rerun-work.ts'

const KIND = 'rerun'
const DAY_MS = 86_400_000
/** A longer period would only repeat itself, and take hours. */
const LONGEST_MS = 5 * 366 * DAY_MS
const SHORTEST_MS = DAY_MS

/** What was asked for, and of which settings. */
interface Asked {
  readonly id: string
  readonly order: RerunOrder
  readonly choice: LimitChoice
  readonly values: readonly number[]
}

/**
 * Re-runs as the web sees them.
 *
 * USE-1 only a value that was worked out whole can be put into use, and only while the limit stands where it stood when
 *       the re-run began: else its figures would speak for another change.
 */
export function createReruns({ work, settings }: { work: LongWork; settings: () => Settings }): Reruns {
  let asked: Asked | null = null
  const look = (id: string): RerunView | null => {
    const view = work.look<RerunPart>(id)
    return view && asked?.id === id ? viewOf(asked, view) : null
  }
  return {
    choices: () => limitChoices(settings()),
    start: (order) => {
      const problem = orderProblem(order, settings())
      if (problem !== null) return { ok: false, code: 'invalid', reason: problem }
      const choice = limitChoice(order.limit, settings())
      if (!choice)
        return { ok: false, code: 'invalid', reason: `limit: there is nothing to try under ${order.limit}` }
      const curve = curveValues(choice, order.value, settings())
      const first = [choice.todayValue, order.value]
      const values = [...first, ...curve.filter((v) => !first.includes(v))]
      const workOrder: RerunWorkOrder = { order, values }
      const started = work.start(KIND, workOrder)
      if (!started.ok) return running()
      asked = { id: started.id, order, choice, values }
      return { ok: true, id: started.id }
    },
    newest: () => (asked ? look(asked.id) : null),
    look,
    stop: work.stop,
    use: (id, value) => {
      const view = look(id)
      return view ? useOf(view, value, settings()) : gone()
    },
  }
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

function viewOf({ id, order, choice, values }: Asked, view: WorkView<RerunPart>): RerunView {
  const span = view.parts.find((p) => p.type === 'span')
  return {
    id,
    state: view.state,
    reason: view.reason,
    choice,
    order: span ? { ...order, fromMs: span.span.fromMs } : order,
    share: view.share,
    doing: view.doing,
    startedMs: view.startedMs,
    leftMs: view.leftMs,
    outcomes: view.parts.flatMap((p) => (p.type === 'outcome' ? [p.outcome] : [])),
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
