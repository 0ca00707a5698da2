import type { Condition } from '../model/episode.ts'
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

interface MachineOffParts {
  readonly condition: Condition
  /** Does this machine, which is off, count? */
  readonly counts: (facts: MachineFacts, context: SubjectContext) => boolean
  /** The delay that holds for one that went off at `onsetMs`. */
  readonly onDelayMs: (onsetMs: number, context: SubjectContext) => number
}

/**
 * A condition that holds while a machine is off: it opens after a delay that depends on when that began, closes at the
 * first sign of power, and never takes silence for a sign of being off (HOLD-4).
 */
export function whileOff({
  condition,
  counts,
  ...parts
}: MachineOffParts): Detector<HoldState, MachineFacts> {
  const ruleOf = (onsetMs: number, context: SubjectContext): HoldRule => ({
    onDelayMs: parts.onDelayMs(onsetMs, context),
    offDelayMs: 0,
    validForMs: powerValidForMs(context),
  })
  return {
    condition,
    hears: ['power', 'powered'],
    initial: initialHold,
    onFacts: (state, { facts, context }, cause) => {
      const power = facts.power.state
      if (cause.type === 'order' && power === 'unknown') return abandonHold(state, cause.order.atMs)
      if (cause.type !== 'reading') return null
      const { atMs } = cause.reading
      const off = power === 'off'
      const beyond = off && counts(facts, context)
      const sample = { atMs, value: off ? 0 : 1, beyond, well: !off, worse: Math.min }
      return stepHold(state, sample, ruleOf(state.phase === 'opening' ? state.fromMs : atMs, context))
    },
    deadlineMs: (state, { context }) =>
      state.phase === 'opening' ? holdDeadlineMs(state, ruleOf(state.fromMs, context)) : Infinity,
    onDeadline: (state, { context }, atMs) => fireHold(state, ruleOf(state.fromMs, context), atMs),
  }
}
