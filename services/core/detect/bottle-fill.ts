import type { Condition } from '../model/episode.ts'
import type { HighLimit, Limits } from '../model/settings.ts'
import type { BottleFacts } from '../track/bottle-facts.ts'
import type { SubjectContext } from '../track/tracker.ts'
import { validForMsOf } from '../track/validity.ts'
import type { Detector } from './detector.ts'
import {
  abandonHold,
  fireHold,
  holdDeadlineMs,
  initialHold,
  stepHold,
  type HoldRule,
  type HoldState,
} from './hold.ts'

/** A condition that holds while a bottle's filtered fill stays above its limit (rules HOLD-1 to HOLD-5). */
export function fillAbove(
  condition: Condition,
  limitOf: (limits: Limits) => HighLimit,
): Detector<HoldState, BottleFacts> {
  const ruleOf = (context: SubjectContext): HoldRule => {
    const { onDelayMs, offDelayMs } = limitOf(context.settings.limits)
    return { onDelayMs, offDelayMs, validForMs: validForMsOf(context, 'mass') }
  }
  return {
    condition,
    hears: ['mass'],
    initial: initialHold,
    onFacts: (state, { facts, context }, cause) => {
      if (cause.type === 'order') {
        return validForMsOf(context, 'mass') === 0 ? abandonHold(state, cause.order.atMs) : null
      }
      const value = facts.fillPct
      if (cause.type === 'deadline' || value === null) {
        endWait(state)
        return null
      }
      const { openAbove, closeBelow } = limitOf(context.settings.limits)
      const judged = { beyond: value > openAbove, well: value < closeBelow, worse: Math.max }
      return stepHold(state, { atMs: cause.reading.atMs, value, ...judged }, ruleOf(context))
    },
    deadlineMs: (state, { context }) =>
      state.phase === 'normal' || state.phase === 'open' ? Infinity : holdDeadlineMs(state, ruleOf(context)),
    onDeadline: (state, { context }, atMs) => fireHold(state, ruleOf(context), atMs),
  }
}

/** A wait in either direction needs a bottle that is weighed: lifted or silent, it begins anew. */
function endWait(state: HoldState): void {
  if (state.phase === 'opening') state.phase = 'normal'
  else if (state.phase === 'closing') state.phase = 'open'
}
