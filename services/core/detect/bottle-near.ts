import type { Bottle } from '../model/settings.ts'
import { fillPct } from '../physics/bottle-volume.ts'
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

export interface BottleNearState {
  latest: Latest
  hold: HoldState
}

/**
 * A waste bottle near its capacity. An overfull bottle puts ink on the floor and into the machine, and many
 * machines have no sensor on it (common practice, no source).
 *
 * NEAR-1 opens when the fill stays above `openAbove` percent for the on-delay, so that a hand on the scale or a bump
 *        opens nothing; closes when it stays below `closeBelow` for the off-delay (rules HOLD-1 to HOLD-5).
 * NEAR-2 a bottle without a scale is never judged.
 */
export const bottleNear: Detector<BottleNearState> = {
  condition: 'bottleNear',
  subjectKind: 'bottle',
  initial: () => ({ latest: [], hold: initialHold() }),
  onReading: (state, reading, context) => {
    const bottle = bottleOf(context)
    if (reading.quantity !== 'mass' || !bottle) return null
    noteLatest(state.latest, reading)
    const value = fillPct(meanOfValid(state.latest, reading.atMs, context.validForMs), bottle)
    const { openAbove, closeBelow } = context.settings.limits.bottleNearPct
    const sample = {
      atMs: reading.atMs,
      value,
      beyond: value > openAbove,
      well: value < closeBelow,
      worse: Math.max,
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

function bottleOf({ settings, subject }: SubjectContext): Bottle | undefined {
  return settings.bottles.find((b) => b.id === subject.id)
}

function ruleOf({ settings, validForMs }: SubjectContext): HoldRule {
  const { onDelayMs, offDelayMs } = settings.limits.bottleNearPct
  return { onDelayMs, offDelayMs, validForMs }
}
