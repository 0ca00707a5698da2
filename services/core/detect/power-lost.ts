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
import { keepBound, noteLatest, type Latest } from './latest.ts'

export interface PowerLostState {
  latest: Latest
  hold: HoldState
}

/**
 * A machine without power. A machine that is off cannot clean its heads, so it is left on day and night (common
 * practice, no source).
 *
 * POWER-1 opens when the machine has been off for `closedMs` while the shop is closed, or for `openMs` at any time,
 *         whichever comes first. Off before closing time counts in closed hours from closing on.
 * POWER-2 the first sign of power closes it, dated to that sign.
 * POWER-3 off means that every sensor that still speaks says so: a contact at 0, a meter below the machine's `offBelowW`.
 * POWER-4 silence is no sign of being off: a wait ends when its last reading is too old (HOLD-4).
 */
export const powerLost: Detector<PowerLostState> = {
  condition: 'powerLost',
  subjectKind: 'machine',
  initial: () => ({ latest: [], hold: initialHold() }),
  onReading: (state, reading, context) => {
    if (reading.quantity !== 'power' && reading.quantity !== 'powered') return null
    noteLatest(state.latest, reading)
    const off = isOff(state.latest, reading.atMs, context)
    const sample = { atMs: reading.atMs, value: off ? 0 : 1, beyond: off, well: !off, worse: Math.min }
    const onsetMs = state.hold.phase === 'opening' ? state.hold.fromMs : reading.atMs
    return stepHold(state.hold, sample, ruleOf(onsetMs, context))
  },
  deadlineMs: (state, context) =>
    state.hold.phase === 'opening'
      ? holdDeadlineMs(state.hold, ruleOf(state.hold.fromMs, context))
      : Infinity,
  onDeadline: (state, atMs, context) => fireHold(state.hold, ruleOf(state.hold.fromMs, context), atMs),
  onSettings: (state, atMs, context) => {
    keepBound(state.latest, context.sensors)
    return state.latest.length === 0 ? abandonHold(state.hold, atMs) : null
  },
}

function isOff(
  latest: Latest,
  atMs: number,
  { sensors, settings, subject, validForMs }: SubjectContext,
): boolean {
  const offBelowW = settings.machines.find((m) => m.id === subject.id)?.offBelowW ?? 0
  return latest.every((l) => {
    if (atMs - l.atMs > validForMs) return true
    return sensors.get(l.sensorId)?.quantity === 'power' ? l.value < offBelowW : l.value === 0
  })
}

/** The delay that holds for a power loss that began at `onsetMs`. */
function ruleOf(onsetMs: number, { settings, calendar, validForMs }: SubjectContext): HoldRule {
  const { closedMs, openMs } = settings.limits.powerOff
  const untilClosedMs = calendar.closedFrom(onsetMs) - onsetMs
  return { onDelayMs: Math.min(openMs, untilClosedMs + closedMs), offDelayMs: 0, validForMs }
}
