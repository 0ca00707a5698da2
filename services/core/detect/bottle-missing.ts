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

/** A hand that leans on the empty scale is no bottle. Starting value. */
const BACK_FOR_MS = 60_000
/** One reading is a hand, a knee or garbage, and two of a scale that throws garbage are no rarity. Starting value. */
const LEAST_READINGS = 3

export interface MissingState extends HoldState {
  /** How often in a row the bottle was read off the scale. */
  offReadings: number
}

/**
 * No bottle on the scale: a purge then hits the floor (common practice, no source).
 *
 * MISSING-1 opens when the bottle (BOTTLE-2) has been off the scale for `closedMs` while the shop is closed, or for
 *           `openMs` at any time, whichever comes first. Off before closing time counts in closed hours from closing on.
 *           At a slow scale it takes three readings in a row, though the delay is over before. What the bottle did not
 *           hear, since no bottle can weigh it (TRUSTED-1), is no reading of it either way.
 * MISSING-2 closes when a bottle, that one or another, has stood on the scale for a minute, dated to its return.
 * MISSING-3 silence is no sign of a missing bottle: a wait ends when its last reading is too old (HOLD-4), and what is open
 *           stays open.
 * MISSING-4 a bottle that loses its scale is no longer missing.
 */
export const bottleMissing: Detector<MissingState, BottleFacts> = {
  condition: 'bottleMissing',
  hears: ['mass'],
  initial: () => ({ ...initialHold(), offReadings: 0 }),
  onFacts: (state, { facts, context }, cause) => {
    if (cause.type === 'order') {
      return validForMsOf(context, 'mass') === 0 ? abandonHold(state, cause.order.atMs) : null
    }
    if (cause.type === 'deadline' || facts.standing === 'unknown') return null
    const { atMs } = cause.reading
    if (facts.heardMs !== atMs) return null
    const off = facts.standing === 'lifted'
    if (!off && state.phase === 'normal') return null
    if (state.phase === 'normal') state.fromMs = atMs
    state.offReadings = !off ? 0 : state.phase === 'normal' ? 1 : state.offReadings + 1
    const rule = ruleOf(state, context)
    const sample = { atMs, value: off ? 0 : 1, beyond: off, well: !off, worse: Math.min }
    const found = stepHold(state, sample, rule)
    // At a slow scale the delay is over before the readings are enough.
    const overdue = state.phase === 'opening' && atMs >= state.fromMs + rule.onDelayMs
    return found ?? (overdue ? fireHold(state, rule, atMs) : null)
  },
  deadlineMs: (state, { context }) =>
    state.phase === 'normal' || state.phase === 'open'
      ? Infinity
      : holdDeadlineMs(state, ruleOf(state, context)),
  onDeadline: (state, { context }, atMs) => fireHold(state, ruleOf(state, context), atMs),
}

/** The delay that holds for a bottle taken off at `fromMs`; without end until it was read off the scale often enough. */
function ruleOf({ fromMs, offReadings }: MissingState, context: SubjectContext): HoldRule {
  const { closedMs, openMs } = context.settings.limits.bottleMissing
  const untilClosedMs = context.calendar.closedFrom(fromMs) - fromMs
  const onDelayMs = Math.min(openMs, untilClosedMs + closedMs)
  return {
    onDelayMs: onDelayMs > 0 && offReadings < LEAST_READINGS ? Infinity : onDelayMs,
    offDelayMs: BACK_FOR_MS,
    validForMs: validForMsOf(context, 'mass'),
  }
}
