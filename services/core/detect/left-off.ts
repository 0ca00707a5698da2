import { powerValidForMs } from '../track/machine-power.ts'
import type { MachineFacts } from '../track/machine.ts'
import type { SubjectContext } from '../track/tracker.ts'
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

/**
 * A machine that was off already when the shop closed: switched off at the end of the day, or forgotten. It should
 * stay on, since a machine that is off cannot clean its heads (common practice, no source).
 *
 * LEFT-1 opens `closedMs` after closing, for a machine that went off while the shop was open and is still off.
 * LEFT-2 the first sign of power at the machine closes it.
 * LEFT-3 a machine that goes off in closed hours was not left off: it lost power (POWER-1).
 * LEFT-4 silence is no sign of being off (HOLD-4).
 */
export const leftOff: Detector<HoldState, MachineFacts> = {
  condition: 'leftOff',
  hears: ['power', 'powered'],
  initial: initialHold,
  onFacts: (state, { facts, context }, cause) => {
    const { power } = facts
    if (cause.type === 'order' && power.state === 'unknown') return abandonHold(state, cause.order.atMs)
    if (cause.type !== 'reading') return null
    const { atMs } = cause.reading
    const off = power.state === 'off'
    const beyond = off && power.sinceMs !== null && context.calendar.isOpenAt(power.sinceMs)
    const sample = { atMs, value: off ? 0 : 1, beyond, well: !off, worse: Math.min }
    return stepHold(state, sample, ruleOf(state.phase === 'opening' ? state.fromMs : atMs, context))
  },
  deadlineMs: (state, { context }) =>
    state.phase === 'opening' ? holdDeadlineMs(state, ruleOf(state.fromMs, context)) : Infinity,
  onDeadline: (state, { context }, atMs) => fireHold(state, ruleOf(state.fromMs, context), atMs),
}

function ruleOf(onsetMs: number, context: SubjectContext): HoldRule {
  const { calendar, settings } = context
  const onDelayMs = calendar.closedFrom(onsetMs) - onsetMs + settings.limits.powerOff.closedMs
  return { onDelayMs, offDelayMs: 0, validForMs: powerValidForMs(context) }
}
