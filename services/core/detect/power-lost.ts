import type { MachineFacts } from '../track/machine.ts'
import type { SubjectContext } from '../track/tracker.ts'
import { powerValidForMs } from '../track/machine-power.ts'
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
 * A machine without power. A machine that is off cannot clean its heads, so it is left on day and night (common
 * practice, no source).
 *
 * POWER-1 opens when the machine has been off for `closedMs` while the shop is closed, or for `openMs` at any time,
 *         whichever comes first. Off before closing time counts in closed hours from closing on.
 * POWER-2 the first sign of power at the machine itself closes it, dated to that sign.
 * POWER-3 off means that every sensor that still speaks says so: a contact at 0, a meter below its off limit.
 * POWER-4 silence is no sign of being off: a wait ends when its last reading is too old (HOLD-4).
 */
export const powerLost: Detector<HoldState, MachineFacts> = {
  condition: 'powerLost',
  hears: ['power', 'powered'],
  initial: initialHold,
  onFacts: (state, { facts, context }, cause) => {
    if (cause.type === 'order' && facts.power.state === 'unknown') return abandonHold(state, cause.order.atMs)
    if (cause.type !== 'reading') return null
    const { atMs } = cause.reading
    const off = facts.power.state === 'off'
    const sample = { atMs, value: off ? 0 : 1, beyond: off, well: !off, worse: Math.min }
    return stepHold(state, sample, ruleOf(state.phase === 'opening' ? state.fromMs : atMs, context))
  },
  deadlineMs: (state, { context }) =>
    state.phase === 'opening' ? holdDeadlineMs(state, ruleOf(state.fromMs, context)) : Infinity,
  onDeadline: (state, { context }, atMs) => fireHold(state, ruleOf(state.fromMs, context), atMs),
}

/** The delay that holds for a power loss that began at `onsetMs`. */
function ruleOf(onsetMs: number, context: SubjectContext): HoldRule {
  const { closedMs, openMs } = context.settings.limits.powerOff
  const untilClosedMs = context.calendar.closedFrom(onsetMs) - onsetMs
  const onDelayMs = Math.min(openMs, untilClosedMs + closedMs)
  return { onDelayMs, offDelayMs: 0, validForMs: powerValidForMs(context) }
}
