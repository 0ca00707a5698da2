import type { Order, Reading } from '../model/input.ts'
import type { BottleFacts } from './bottle-facts.ts'
import { bottleTracker, noteCleaning } from './bottle.ts'
import { powerRuleFor } from './machine-power.ts'
import { cleaningsVisible } from './power-rule.ts'
import { initialPower, stepPower, type PowerFacts } from './power.ts'
import {
  initialRecognition,
  isRecognised,
  noteLoggedCleaning,
  noteSeenCleaning,
  type Recognition,
} from './recognition.ts'
import type { SubjectContext, Tracker } from './tracker.ts'

export interface DrainingMachine {
  power: PowerFacts
  recognition: Recognition
}

export interface DrainedBottleFacts extends BottleFacts {
  /** What is known of each machine that drains into it, by machine. */
  machines: Record<string, DrainingMachine>
}

/**
 * A bottle that also hears the power of its machines, which tells when one of them has cleaned.
 *
 * DRAIN-1 a cleaning counts when the meter can see cleanings at all (three reports within one), and five that people
 *         logged were recognised; else nothing is owed.
 */
export const drainedBottleTracker: Tracker<DrainedBottleFacts> = {
  initial: () => ({ ...bottleTracker.initial(), machines: {} }),
  onReading: (facts, reading, context) => {
    const machineId = machineOf(reading, context)
    if (machineId === null) return bottleTracker.onReading(facts, reading, context)
    notePower(facts, machineId, reading, context)
  },
  onOrder: (facts, order, context) => {
    noteLogged(facts, order)
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

function noteLogged({ machines }: DrainedBottleFacts, order: Order): void {
  if (order.type !== 'careLogged' || (order.care !== 'cleaned' && order.care !== 'partlyCleaned')) return
  const machine = machines[order.machineId]
  if (machine) noteLoggedCleaning(machine.recognition, order.atMs)
}

function notePower(
  facts: DrainedBottleFacts,
  machineId: string,
  reading: Reading,
  context: SubjectContext,
): void {
  const machine = (facts.machines[machineId] ??= { power: initialPower(), recognition: initialRecognition() })
  const { power, recognition } = machine
  const rule = powerRuleFor(machineId, context)
  stepPower(power, reading, rule, context, (change) => {
    if (change.type !== 'cleaned') return
    noteSeenCleaning(recognition, change.toMs)
    if (isRecognised(recognition) && cleaningsVisible(rule, power.meter.intervalMs)) {
      noteCleaning(facts, { atMs: change.toMs, machineId }, context)
    }
  })
}
