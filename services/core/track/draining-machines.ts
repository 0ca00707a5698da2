import type { Reading } from '../model/input.ts'
import type { BottleFacts } from './bottle-facts.ts'
import { bottleTracker, noteCleaning } from './bottle.ts'
import { powerRuleFor } from './machine-power.ts'
import { initialPower, stepPower, type PowerChange, type PowerFacts } from './power.ts'
import type { SubjectContext, Tracker } from './tracker.ts'

export interface DrainedBottleFacts extends BottleFacts {
  /** Power of each machine that drains into it, by machine. */
  machines: Record<string, PowerFacts>
}

/** A bottle that also hears the power of its machines, which tells when one of them has cleaned. */
export const drainedBottleTracker: Tracker<DrainedBottleFacts> = {
  initial: () => ({ ...bottleTracker.initial(), machines: {} }),
  onReading: (facts, reading, context) => {
    const machineId = machineOf(reading, context)
    if (machineId === null) return bottleTracker.onReading(facts, reading, context)
    noteMachine(facts, machineId, reading, context)
  },
  onOrder: (facts, order, context) => {
    for (const id of Object.keys(facts.machines)) {
      const heard = [...context.sensors.values()].some(
        (s) => s.subject.kind === 'machine' && s.subject.id === id,
      )
      if (!heard) Reflect.deleteProperty(facts.machines, id)
    }
    bottleTracker.onOrder(facts, order, context)
  },
  deadlineMs: bottleTracker.deadlineMs,
  onDeadline: bottleTracker.onDeadline,
}

function machineOf({ sensorId }: Reading, { sensors }: SubjectContext): string | null {
  const subject = sensors.get(sensorId)?.subject
  return subject?.kind === 'machine' ? subject.id : null
}

function noteMachine(
  facts: DrainedBottleFacts,
  machineId: string,
  reading: Reading,
  context: SubjectContext,
): void {
  const power = (facts.machines[machineId] ??= initialPower())
  const changes: PowerChange[] = []
  stepPower(power, reading, powerRuleFor(machineId, context), context, (change) => changes.push(change))
  for (const change of changes) {
    if (change.type === 'cleaned') noteCleaning(facts, { atMs: change.toMs, machineId }, context)
  }
}
