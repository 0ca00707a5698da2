import type { SiteFacts } from '../track/site.ts'
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

/**
 * The shop without mains, told by a detector at the monitor, which stands on a UPS.
 *
 * MAINS-1 opens when every mains detector that still speaks says off for `powerOff.closedMs`, at any hour.
 * MAINS-2 the first sign of mains closes it. A machine that is still off then has its own episode: mains is back, the
 *         machine is not.
 * MAINS-3 silence is no sign of being off (HOLD-4).
 */
export const mainsLost: Detector<HoldState, SiteFacts> = {
  condition: 'mainsLost',
  hears: ['powered'],
  initial: initialHold,
  onFacts: (state, { facts, context }, cause) => {
    if (cause.type === 'order') {
      return facts.powered.length === 0 ? abandonHold(state, cause.order.atMs) : null
    }
    if (cause.type !== 'reading') return null
    const { atMs } = cause.reading
    const off = facts.powered.every(
      (l) => l.value === 0 || atMs - l.atMs > (context.sensors.get(l.sensorId)?.validForMs ?? 0),
    )
    const sample = { atMs, value: off ? 0 : 1, beyond: off, well: !off, worse: Math.min }
    return stepHold(state, sample, ruleOf(context))
  },
  deadlineMs: (state, { context }) =>
    state.phase === 'opening' ? holdDeadlineMs(state, ruleOf(context)) : Infinity,
  onDeadline: (state, { context }, atMs) => fireHold(state, ruleOf(context), atMs),
}

function ruleOf(context: SubjectContext): HoldRule {
  const { closedMs } = context.settings.limits.powerOff
  return { onDelayMs: closedMs, offDelayMs: 0, validForMs: validForMsOf(context, 'powered') }
}
