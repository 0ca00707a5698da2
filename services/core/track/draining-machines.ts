import type { Order, Reading } from '../model/input.ts'
import { learnedOf } from '../model/learned.ts'
import type { BottleFacts } from './bottle-facts.ts'
import { bottleTracker, noteCleaning } from './bottle.ts'
import { powerRuleFor } from './machine-power.ts'
import { cleaningsVisible } from './power-rule.ts'
import { initialPower, stepPower, type PowerFacts, type PowerState } from './power.ts'
import {
  initialRecognition,
  isRecognised,
  noteLoggedCleaning,
  noteProvenCleanings,
  noteSeenCleaning,
  type Recognition,
} from './recognition.ts'
import type { SubjectContext, Tracker } from './tracker.ts'

export interface DrainingMachine {
  power: PowerFacts
  recognition: Recognition
  /** What it last did beside cleaning. */
  did: PowerState
}

export interface DrainedBottleFacts extends BottleFacts {
  /** What is known of each machine that drains into it, by machine. */
  machines: Record<string, DrainingMachine>
}

/** So many cleanings of the meter were weighed, and so many of them brought waste: the scale proves them. Starting values. */
const LEAST_WEIGHED = 8
const BROUGHT_SHARE = 0.9

/**
 * A bottle that also hears the power of its machines, which tells when one of them has cleaned.
 *
 * DRAIN-1 a cleaning counts when the meter can see cleanings at all (three reports within one), and it is proven once that
 *         what it sees are cleanings: five that people logged were recognised, or eight were weighed and nine in ten of
 *         them brought waste. Else nothing is owed.
 * DRAIN-2 only what begins while the machine rests or prints owes waste: one that stands between its bands has stopped on
 *         an error, or is starting, and may draw about as much as one that cleans.
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
  const machine = (facts.machines[machineId] ??= initialMachine())
  const { power, recognition } = machine
  const rule = powerRuleFor(machineId, context)
  stepPower(power, reading, rule, context, (change) => {
    if (change.type === 'stateChanged' && change.to !== 'cleaning') machine.did = change.to
    if (change.type !== 'cleaned') return
    noteSeenCleaning(recognition, change.toMs)
    if (isProvenByScale(machineId, context)) noteProvenCleanings(recognition)
    if (isRecognised(recognition) && cleaningsVisible(rule, power.meter.intervalMs)) {
      const owes = machine.did === 'standby' || machine.did === 'printing'
      noteCleaning(facts, { atMs: change.toMs, machineId, owes }, context)
    }
  })
}

function initialMachine(): DrainingMachine {
  return { power: initialPower(), recognition: initialRecognition(), did: 'unknown' }
}

function isProvenByScale(machineId: string, { learned }: SubjectContext): boolean {
  const waste = learnedOf(learned, 'cleaningWaste', machineId)
  return waste !== undefined && waste.cleanings >= LEAST_WEIGHED && (waste.broughtShare ?? 0) >= BROUGHT_SHARE
}
