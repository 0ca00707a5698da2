import { learnedOf } from '../model/learned.ts'
import { fillPct, wasteVolumeMl } from '../physics/bottle-volume.ts'
import { initialBottle, type BottleFacts, type CleaningSeen } from './bottle-facts.ts'
import { LEAST_LIFT_MS, noteSettled } from './bottle-handling.ts'
import { meanKgFrom, medianKg, noteSample, restFrom } from './bottle-level.ts'
import { bottleRuleOf, type BottleRule } from './bottle-of.ts'
import { keepBound, meanOfValid, noteLatest } from './latest.ts'
import type { SubjectContext, Tracker } from './tracker.ts'
import { validForMsOf } from './validity.ts'

const HOUR_MS = 3_600_000
/** Waste of a cleaning has long settled by then, also when the scale was silent for a while. */
const CLEANINGS_KEPT_MS = 6 * HOUR_MS
const CLEANINGS_KEPT = 32
/** Of the usual time from one cleaning to the next. Starting value. */
const EARLY_SHARE = 0.5

/**
 * A waste bottle on its scale (BOTTLE-5 to BOTTLE-7: `noteSettled`).
 *
 * BOTTLE-1 the weight is the median of about four minutes, so that a bump, a hand of a minute or a knee moves nothing;
 *          it is known from three samples on, of which more than half agree: garbage has no middle.
 * BOTTLE-2 a reading well below the tare is a scale without a bottle: `lifted`. Contents are then not known, and what was
 *          known before stands again when the bottle is back and at rest.
 * BOTTLE-3 a scale that has fallen silent knows nothing: `unknown`.
 * BOTTLE-4 the scale is at rest when all samples of two minutes agree within what it may err.
 * BOTTLE-8 a tare that was changed ends the offer of a new one.
 * BOTTLE-9 a tube that pulls at a nearly empty bottle makes it look lifted. Where the tare is that of a bottle alone, an
 *          empty scale reads about zero; a reading that is neither that nor far below the last rest is a bottle that is
 *          pulled at: it is there, and how much it weighs is not known until it is let go.
 */
export const bottleTracker: Tracker<BottleFacts> = {
  initial: initialBottle,
  onReading: (facts, reading, context) => {
    facts.atMs = reading.atMs
    if (reading.quantity !== 'mass' || !isOwnScale(reading.sensorId, context)) return
    const rule = bottleRuleOf(context)
    if (!rule) return
    noteLatest(facts.latest, reading)
    noteMass(facts, reading.atMs, meanOfValid(facts.latest, reading.atMs, context) ?? reading.value, rule)
  },
  onOrder: (facts, order, context) => {
    facts.atMs = order.atMs
    keepBound(facts.latest, context)
    const rule = bottleRuleOf(context)
    if (!rule || facts.latest.length === 0) forgetScale(facts, order.atMs)
    if (!rule) return
    if (facts.tareKg !== rule.bottle.tareKg) facts.newTareKg = null
    facts.tareKg = rule.bottle.tareKg
    reckon(facts, facts.massKg, rule)
  },
  deadlineMs: (facts, context) =>
    facts.standing === 'unknown' || facts.heardMs === null
      ? Infinity
      : facts.heardMs + validForMsOf(context, 'mass'),
  onDeadline: (facts, atMs) => {
    facts.atMs = atMs
    facts.silentMs = atMs
    noteUnknown(facts, atMs)
  },
}

/**
 * A machine that drains into this bottle was seen to end a cleaning; its waste may still be on its way.
 *
 * BOTTLE-10 one that comes before half of the machine's usual time since the last is none of its rounds and owes nothing:
 *           a hand started it, or a machine that stopped on an error draws about as much as one that cleans.
 */
export function noteCleaning(
  facts: BottleFacts,
  { atMs, machineId, owes }: CleaningSeen,
  context: SubjectContext,
): void {
  if (!bottleRuleOf(context)?.bottle.machines.includes(machineId)) return
  const { cleanings, cleanedMs } = facts
  const sinceLastMs = atMs - (cleanedMs[machineId] ?? -Infinity)
  cleanedMs[machineId] = Math.max(atMs, cleanedMs[machineId] ?? atMs)
  const early = sinceLastMs < EARLY_SHARE * usualIntervalMs(machineId, context)
  cleanings.push({ atMs, machineId, owes: owes && !early })
  cleanings.sort((a, b) => a.atMs - b.atMs)
  while (cleanings.length > CLEANINGS_KEPT || atMs - (cleanings[0]?.atMs ?? atMs) > CLEANINGS_KEPT_MS) {
    cleanings.shift()
  }
}

/** As learned, or as told; 0 where nobody knows. */
function usualIntervalMs(machineId: string, { learned, settings }: SubjectContext): number {
  const told = settings.machines.find((m) => m.id === machineId)?.selfCleaning
  const toldHours = told?.kind === 'everyHours' ? told.hours : 0
  return (learnedOf(learned, 'cleaningInterval', machineId)?.hours ?? toldHours) * HOUR_MS
}

function isOwnScale(sensorId: string, { sensors, subject }: SubjectContext): boolean {
  const bound = sensors.get(sensorId)?.subject
  return bound?.kind === 'bottle' && bound.id === subject.id
}

function noteMass(facts: BottleFacts, atMs: number, massKg: number, rule: BottleRule): void {
  facts.heardMs = atMs
  facts.tareKg ??= rule.bottle.tareKg
  const pulled = isPulled(facts, massKg, rule)
  const standing = massKg < rule.liftedBelowKg && !pulled ? 'lifted' : 'onTheScale'
  if (facts.standing !== standing) {
    facts.standing = standing
    facts.standingFromMs = atMs
    if (standing === 'onTheScale') noteBack(facts, atMs)
  }
  if (standing === 'lifted') {
    facts.lift ??= { fromMs: atMs, toMs: null }
    return reckon(facts, null, rule)
  }
  if (pulled) return reckon(facts, null, rule)
  noteSample(facts.samples, atMs, massKg)
  reckon(facts, medianKg(facts.samples), rule)
  const first = restFrom(facts.samples, {
    sinceMs: facts.lift?.toMs ?? -Infinity,
    toleranceKg: rule.restWithinKg,
  })
  if (first === null) return
  const fromMs = facts.samples[first]?.atMs ?? atMs
  noteSettled(facts, { fromMs, atMs, massKg: meanKgFrom(facts.samples, first) }, rule)
}

function isPulled(
  { lift, settled }: BottleFacts,
  massKg: number,
  { liftedBelowKg, pulled }: BottleRule,
): boolean {
  if (!pulled || !settled || lift !== null || massKg >= liftedBelowKg) return false
  return Math.abs(massKg) > pulled.notWithinOfZeroKg && settled.massKg - massKg <= pulled.withinKg
}

/** What was weighed before it was lifted says nothing of what came back. */
function noteBack({ lift, samples }: BottleFacts, atMs: number): void {
  if (!lift) return
  lift.toMs = atMs
  if (atMs - lift.fromMs >= LEAST_LIFT_MS) samples.length = 0
}

function reckon(facts: BottleFacts, massKg: number | null, { bottle }: BottleRule): void {
  facts.massKg = massKg
  facts.volumeMl = massKg === null ? null : wasteVolumeMl(massKg, bottle)
  facts.fillPct = massKg === null ? null : fillPct(massKg, bottle)
}

function noteUnknown(facts: BottleFacts, atMs: number): void {
  if (facts.standing !== 'unknown') facts.standingFromMs = atMs
  facts.standing = 'unknown'
  facts.samples.length = 0
  facts.massKg = null
  facts.volumeMl = null
  facts.fillPct = null
}

/** Another scale reads otherwise: nothing is compared across the change. */
function forgetScale(facts: BottleFacts, atMs: number): void {
  noteUnknown(facts, atMs)
  facts.settled = null
  facts.lift = null
}
