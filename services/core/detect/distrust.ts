import type { Condition } from '../model/episode.ts'
import type { Quantity } from '../model/quantity.ts'
import type { Subject } from '../model/subject.ts'
import type { SubjectContext } from '../track/tracker.ts'
import type { Distrust } from '../track/trust-state.ts'
import type { TrustedFacts } from '../track/trusted.ts'
import type { Detector } from './detector.ts'

export interface DistrustState {
  open: boolean
  worst: number
}

/**
 * A condition of a sensor that holds while it is not believed for one reason. It is judged only under the subject the
 * sensor is bound to, though others hear it too: one broken sensor is one trouble.
 */
export function distrustDetector({
  condition,
  distrust,
  hears,
}: {
  readonly condition: Condition
  readonly distrust: Distrust
  readonly hears: readonly Quantity[]
}): Detector<DistrustState, TrustedFacts> {
  return {
    condition,
    hears,
    partsOf: (context) => boundSensors(context, hears),
    initial: () => ({ open: false, worst: 0 }),
    onFacts: (state, { facts, part }, cause) => {
      if (cause.type === 'deadline') return null
      if (cause.type === 'reading' && cause.reading.sensorId !== part.id) return null
      const verdict = facts.trust[part.id]?.[distrust] ?? null
      if (verdict?.distrusted) {
        state.worst = verdict.worst
        if (state.open) return null
        state.open = true
        const { sinceMs, sureMs, value, worst } = verdict
        return { type: 'opened', fromMs: sinceMs, openedMs: sureMs, value, worst }
      }
      if (!state.open) return null
      state.open = false
      const { worst } = state
      // Without a verdict the sensor was forgotten: it measures something else from this order on.
      const atMs = cause.type === 'reading' ? cause.reading.atMs : cause.order.atMs
      return { type: 'closed', toMs: verdict?.sinceMs ?? atMs, closedMs: verdict?.sureMs ?? atMs, worst }
    },
    deadlineMs: () => Infinity,
    onDeadline: () => null,
  }
}

function boundSensors({ subject, sensors }: SubjectContext, hears: readonly Quantity[]): readonly Subject[] {
  const bound: Subject[] = []
  for (const { id, quantity, subject: to } of sensors.values()) {
    if (to.kind !== subject.kind || to.id !== subject.id || !hears.includes(quantity)) continue
    bound.push({ kind: 'sensor', id })
  }
  return bound
}
