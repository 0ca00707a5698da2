import type { Condition } from '../model/episode.ts'
import type { Quantity } from '../model/quantity.ts'
import type { HighLimit, Limits, LowLimit } from '../model/settings.ts'
import type { SubjectContext, TrackedFacts } from '../track/tracker.ts'
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

interface ThresholdParts<Facts> {
  readonly condition: Condition
  readonly quantity: Quantity
  /** null: not known, or not to be judged here. */
  readonly valueOf: (facts: Facts, context: SubjectContext) => number | null
}

/** A condition that holds while a value stays below its limit, with deadband and delays (rules HOLD-1 to HOLD-5). */
export function belowLimit<Facts extends TrackedFacts>(
  parts: ThresholdParts<Facts> & { readonly limitOf: (limits: Limits) => LowLimit },
): Detector<HoldState, Facts> {
  return threshold(parts, (value, limits) => {
    const { openBelow, closeAbove } = parts.limitOf(limits)
    return { beyond: value < openBelow, well: value > closeAbove, worse: Math.min }
  })
}

/** A condition that holds while a value stays above its limit, with deadband and delays (rules HOLD-1 to HOLD-5). */
export function aboveLimit<Facts extends TrackedFacts>(
  parts: ThresholdParts<Facts> & { readonly limitOf: (limits: Limits) => HighLimit },
): Detector<HoldState, Facts> {
  return threshold(parts, (value, limits) => {
    const { openAbove, closeBelow } = parts.limitOf(limits)
    return { beyond: value > openAbove, well: value < closeBelow, worse: Math.max }
  })
}

type Judge = (
  value: number,
  limits: Limits,
) => { beyond: boolean; well: boolean; worse: (a: number, b: number) => number }

/** What nobody measures any more, or is no longer to be judged, ends at the order that said so. */
function threshold<Facts extends TrackedFacts>(
  parts: ThresholdParts<Facts> & {
    readonly limitOf: (limits: Limits) => Pick<LowLimit, 'onDelayMs' | 'offDelayMs'>
  },
  judge: Judge,
): Detector<HoldState, Facts> {
  const { condition, quantity } = parts
  const ruleOf = (context: SubjectContext): HoldRule => {
    const { onDelayMs, offDelayMs } = parts.limitOf(context.settings.limits)
    return { onDelayMs, offDelayMs, validForMs: validForMsOf(context, quantity) }
  }
  return {
    condition,
    hears: [quantity],
    initial: initialHold,
    onFacts: (state, { facts, context }, cause) => {
      if (cause.type === 'deadline') return null
      const value = parts.valueOf(facts, context)
      if (cause.type === 'order') return value === null ? abandonHold(state, cause.order.atMs) : null
      if (value === null) return null
      const judged = judge(value, context.settings.limits)
      return stepHold(state, { atMs: cause.reading.atMs, value, ...judged }, ruleOf(context))
    },
    deadlineMs: (state, { context }) =>
      state.phase === 'normal' || state.phase === 'open' ? Infinity : holdDeadlineMs(state, ruleOf(context)),
    onDeadline: (state, { context }, atMs) => fireHold(state, ruleOf(context), atMs),
  }
}
