import { channelGroupsOf } from '../detect/head-drying.ts'
import type { Detector, Finding } from '../detect/detector.ts'
import type { NightlyFacts } from './with-night.ts'

/** An open forecast closes below this share of the probability that opens one. */
const CLOSES_AT_SHARE = 0.6

export interface WillDryState {
  /** 0: closed. 1: probable enough for the list. 2: probable enough to wake somebody. */
  level: 0 | 1 | 2
  worst: number
}

/**
 * Ink that will pass its limit before the shop opens again, judged on the forecast's grid (rules GRID-1 to GRID-3) and
 * from certain doses alone. Its value is the probability in percent.
 *
 * WILL-DRY-1 opens when the probability reaches `forecast.listProbability`.
 * WILL-DRY-2 grows to its next level, which is another episode, when it reaches `forecast.wakeProbability`. A forecast of
 *            fewer than seven days of data never does: its single path is taken as three in four.
 * WILL-DRY-3 closes when a later forecast, after a wetting for instance, falls below six tenths of that first mark, and
 *            at opening.
 * WILL-DRY-4 ink that has passed its limit is drying (rule DRYING-1): nothing is forecast of it any more.
 */
export const headWillDry: Detector<WillDryState, NightlyFacts> = {
  condition: 'headWillDry',
  hears: [],
  partsOf: channelGroupsOf,
  initial: () => ({ level: 0, worst: 0 }),
  onFacts: (state, { facts, part, context }, cause) => {
    const { night, atMs } = facts
    if (atMs === null || (cause.type === 'deadline' && night !== null && night.madeMs !== atMs)) return null
    const { listProbability, wakeProbability } = context.settings.limits.forecast
    const probability = night?.probabilities[part.id] ?? 0
    const value = probability * 100
    if (state.level > 0) state.worst = Math.max(state.worst, value)
    const level = probability >= wakeProbability ? 2 : probability >= listProbability ? 1 : 0
    if (level > state.level) {
      state.level = level
      state.worst = value
      return { type: 'opened', fromMs: atMs, openedMs: atMs, value, worst: value }
    }
    return state.level > 0 && probability < listProbability * CLOSES_AT_SHARE ? close(state, atMs) : null
  },
  deadlineMs: () => Infinity,
  onDeadline: () => null,
}

function close(state: WillDryState, atMs: number): Finding {
  state.level = 0
  return { type: 'closed', toMs: atMs, closedMs: atMs, worst: state.worst }
}
