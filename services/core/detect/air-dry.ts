import type { Detector, SubjectContext } from './detector.ts'
import {
  abandonHold,
  fireHold,
  holdDeadlineMs,
  initialHold,
  stepHold,
  type HoldRule,
  type HoldState,
} from './hold.ts'
import { keepBound, meanOfValid, noteLatest, type Latest } from './latest.ts'

export interface AirDryState {
  latest: Latest
  hold: HoldState
}

/**
 * Air too dry in a room. Below about 40 %RH water-based ink dries at the nozzles (common practice, no source).
 *
 * DRY-1 opens when the room's humidity stays below `openBelow` for the on-delay, closes when it stays above
 *       `closeAbove` for the off-delay (rules HOLD-1 to HOLD-5).
 * DRY-2 several sensors in a room are averaged; one that has fallen silent is left out.
 * DRY-3 a room that loses its last humidity sensor has no dry air any more, it has no known air.
 */
export const airDry: Detector<AirDryState> = {
  condition: 'airDry',
  subjectKind: 'room',
  initial: () => ({ latest: [], hold: initialHold() }),
  onReading: (state, reading, context) => {
    if (reading.quantity !== 'humidity') return null
    noteLatest(state.latest, reading)
    const value = meanOfValid(state.latest, reading.atMs, context.validForMs)
    const { openBelow, closeAbove } = context.settings.limits.airDryPct
    const sample = {
      atMs: reading.atMs,
      value,
      beyond: value < openBelow,
      well: value > closeAbove,
      worse: Math.min,
    }
    return stepHold(state.hold, sample, ruleOf(context))
  },
  deadlineMs: (state, context) => holdDeadlineMs(state.hold, ruleOf(context)),
  onDeadline: (state, atMs, context) => fireHold(state.hold, ruleOf(context), atMs),
  onSettings: (state, atMs, context) => {
    keepBound(state.latest, context.sensors)
    return state.latest.length === 0 ? abandonHold(state.hold, atMs) : null
  },
}

function ruleOf({ settings, validForMs }: SubjectContext): HoldRule {
  const { onDelayMs, offDelayMs } = settings.limits.airDryPct
  return { onDelayMs, offDelayMs, validForMs }
}
