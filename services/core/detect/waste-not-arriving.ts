import type { CleaningWaste } from '../model/learned/cleanings.ts'
import { learnedOf } from '../model/learned.ts'
import { fillPct } from '../physics/bottle-volume.ts'
import { creepG, usualCellKg } from '../physics/load-cell.ts'
import { robustSigma } from '../statistics/robust.ts'
import type { BottleFacts, CleaningSeen, SettledLevel } from '../track/bottle-facts.ts'
import { bottleRuleOf } from '../track/bottle-of.ts'
import type { SubjectContext } from '../track/tracker.ts'
import { validForMsOf } from '../track/validity.ts'
import { evaporationGPerDay } from './bottle-evaporation.ts'
import type { Detector, Finding } from './detector.ts'

const MINUTE_MS = 60_000
const DAY_MS = 86_400_000
/** A cleaning's waste is in the bottle, and weighed, by then; its own end may be seen only minutes later. */
const SETTLED_AFTER_MS = 10 * MINUTE_MS
/** Where many machines share a bottle there is always one that cleans; none is waited for longer than this. */
const WAITED_MS = 60 * MINUTE_MS
/** What arrived is set against what is owed only when no cleaning that brought it can still be told. */
const HELD_MS = 30 * MINUTE_MS
const POINT_EVERY_MS = 5 * MINUTE_MS
const LEAST_CLEANINGS = 5
/** A scale at rest falls by no more than this by its own noise; what falls further has left. */
const MOST_NOISE_G = 1
/** A scale beside a machine that prints trembles by more: by so many standard deviations of its steps. Starting value. */
const NOISE_SIGMAS = 4
/** Two hours of steps tell how a scale trembles, and what single cleanings bring among them does not show. */
const STEPS = 24
/** So many times its noise below what was credited the level has truly fallen, and gains count from there. Starting value. */
const FALLEN_NOISES = 2
/** What comes back differs from what fell by no more than this, and a share of it. Starting value. */
const BACK_WITHIN_G = 2
/** A tube that pulls makes the level fall at once by more than this, and let go it comes back about as it fell. */
const PULLED_G = 4
const BACK_WITHIN_SHARE = 0.3
/** Of the learned gain: a bias of the learned value must not add up over a quiet week. Starting value. */
const EXPECTED_SHARE = 0.95
/** Waste arrives again when a cleaning brought this share of what is expected of it. */
const AGAIN_SHARE = 0.5
/** Above what the bottle holds, waste may run over its rim. */
const BRIMFUL_PCT = 100

export interface OwedState {
  /** Levels not yet set against what is owed, oldest first; the first is through where it was. */
  points: SettledLevel[]
  /** The newest steps from level to level, in g. */
  stepsG: number[]
  /** The level through which gains were set against it, less what evaporated since; noise below it is no gain. */
  creditedKg: number | null
  /** By how much it last fell at once and not since come back; 0 while it goes on falling, as a leak does. */
  pulledG: number
  falls: boolean
  /** Cleanings through this time were counted. */
  countedMs: number | null
  owedG: number
  /** Since when and for how many cleanings something is owed, and the variance of their sum in g2. */
  fromMs: number
  cleanings: number
  varianceG2: number
  handledMs: number | null
  open: boolean
  /** While open: the lowest level. */
  lowKg: number
  worst: number
}

/**
 * Machines clean themselves, and their waste does not reach the bottle: a hose is off or blocked.
 *
 * OWED-1 judged cumulatively: each cleaning that was seen adds the gain that was learned of its machine, whatever
 *        arrives takes off, and what is owed is never below nothing. Opens when it is over `grams` and over `sigmas`
 *        standard deviations of the cleanings it stands for and of the scale.
 * OWED-2 a cleaning is counted 10 min after its end, when its waste is weighed; what arrived up to half an hour before is
 *        set against it, for the end may be seen late.
 * OWED-3 a machine of which fewer than five cleanings were learned owes nothing.
 * OWED-4 closes when waste arrives again: a cleaning brought half of what is expected of it, or the scale gained `grams` in
 *        all, which no tube does that is let go. It also closes when a hand was at the bottle (BOTTLE-7), from where it
 *        counts anew.
 * OWED-5 what evaporates owes nothing, and a lifted bottle or a silent scale proves nothing: judged at rests of the scale.
 * OWED-6 what leaves the bottle again, through a leak or a hand, had arrived: a fall, at once or drop by drop, owes
 *        nothing, and a cleaning around which the level fell owes as much less as fell. What comes back as it fell brings
 *        nothing: a tube that pulled and was let go.
 * OWED-7 only a machine's own rounds owe waste (DRAIN-2, BOTTLE-10); any other cleaning that brings some shows that it
 *        arrives again.
 * OWED-8 a bottle that is filled to what it holds owes nothing: what does not arrive may run over its rim, and that it is
 *        full is told already (FULL-1).
 * OWED-9 a scale that trembles, as beside a machine that prints, neither loses nor gains by it: a step is a fall only
 *        beyond four standard deviations of its last two hours' steps, and a level lower than what was credited is a fall
 *        only beyond twice that.
 *
 * Value and worst are the g owed.
 */
export const wasteNotArriving: Detector<OwedState, BottleFacts> = {
  condition: 'wasteNotArriving',
  hears: ['mass'],
  initial: () => ({
    points: [],
    stepsG: [],
    creditedKg: null,
    pulledG: 0,
    falls: false,
    countedMs: null,
    owedG: 0,
    fromMs: 0,
    cleanings: 0,
    varianceG2: 0,
    handledMs: null,
    open: false,
    lowKg: 0,
    worst: 0,
  }),
  onFacts: (state, { facts, context }, cause) => {
    if (cause.type === 'order') {
      return validForMsOf(context, 'mass') === 0 ? beginAnew(state, null, cause.order.atMs) : null
    }
    const { settled, handledMs } = facts
    if (cause.type === 'deadline' || !settled || settled.atMs !== cause.reading.atMs) return null
    if (handledMs !== state.handledMs) return beginAnew(state, handledMs, settled.atMs)
    return judge(state, settled, facts.cleanings, context)
  },
  deadlineMs: () => Infinity,
  onDeadline: () => null,
}

function beginAnew(state: OwedState, handledMs: number | null, closedMs: number): Finding | null {
  const { open, worst } = state
  state.points.length = 0
  state.stepsG.length = 0
  state.creditedKg = null
  state.pulledG = 0
  state.falls = false
  state.handledMs = handledMs
  state.countedMs = handledMs
  state.open = false
  owesNothing(state)
  return open ? { type: 'closed', toMs: handledMs ?? closedMs, closedMs, worst } : null
}

function owesNothing(state: OwedState): void {
  state.owedG = 0
  state.cleanings = 0
  state.varianceG2 = 0
}

function judge(
  state: OwedState,
  settled: SettledLevel,
  cleanings: readonly CleaningSeen[],
  context: SubjectContext,
): Finding | null {
  const { points } = state
  const { atMs, massKg } = settled
  const newest = points[points.length - 1]
  if (newest && atMs - newest.atMs < POINT_EVERY_MS) return null
  points.push({ atMs, massKg })
  if (newest) noteStep(state, (massKg - newest.massKg) * 1000)
  if (massKg < state.lowKg) state.lowKg = massKg
  if (state.open && (massKg - state.lowKg) * 1000 >= context.settings.limits.wasteOwed.grams) {
    return arrivesAgain(state, atMs)
  }
  const waiting = cleanings.filter((c) => state.countedMs === null || c.atMs > state.countedMs)
  const [first] = waiting
  const due = waiting.filter((c) => c.atMs + SETTLED_AFTER_MS <= atMs)
  if (!first) creditThrough(state, atMs - HELD_MS, context)
  if (due.length === 0 || (due.length < waiting.length && atMs < (first?.atMs ?? 0) + WAITED_MS)) return null
  const fellG = fallenG(state)
  const expectedG = isBrimful(settled, context) ? 0 : debitAll(state, { due, fellG }, context)
  const arrivedG = creditThrough(state, atMs, context)
  state.countedMs = due[due.length - 1]?.atMs ?? atMs
  if (!state.open) return openWhenOwed(state, settled, context)
  if (fellG === 0 && expectedG > 0 && arrivedG >= AGAIN_SHARE * expectedG) return arrivesAgain(state, atMs)
  state.worst = Math.max(state.worst, state.owedG)
  return null
}

function noteStep({ stepsG }: OwedState, stepG: number): void {
  if (stepsG.push(stepG) > STEPS) stepsG.shift()
}

/** What the scale moves by while nothing comes or leaves, in g: no less than one at rest, more where it trembles. */
function noiseOf({ stepsG }: OwedState): number {
  return Math.max(MOST_NOISE_G, stepsG.length > 0 ? NOISE_SIGMAS * robustSigma(stepsG) : 0)
}

/** By how much the level fell in steps beyond the scale's noise since what arrived was last set against what is owed. */
function fallenG(state: OwedState): number {
  const { points } = state
  const noiseG = noiseOf(state)
  const stepsG = points.map((p, i) => (p.massKg - (points[i - 1] ?? p).massKg) * 1000)
  return stepsG.reduce((sum, stepG) => (stepG < -noiseG ? sum - stepG : sum), 0)
}

function arrivesAgain(state: OwedState, atMs: number): Finding {
  state.open = false
  owesNothing(state)
  return { type: 'closed', toMs: atMs, closedMs: atMs, worst: state.worst }
}

function isBrimful({ massKg }: SettledLevel, context: SubjectContext): boolean {
  const rule = bottleRuleOf(context)
  return rule !== null && fillPct(massKg, rule.bottle) >= BRIMFUL_PCT
}

/**
 * Owes the waste of the cleanings, less what fell meanwhile: as much of it may have arrived and left again. Gives what is
 * expected of those that owe, in g; where none does, what one of the others may bring.
 */
function debitAll(
  state: OwedState,
  { due, fellG }: { due: readonly CleaningSeen[]; fellG: number },
  context: SubjectContext,
): number {
  let expectedG = 0
  let otherG = 0
  for (const cleaning of due) {
    const waste = wasteOf(cleaning, context)
    const bringsG = waste ? EXPECTED_SHARE * waste.gramsPerCleaning : 0
    if (waste && cleaning.owes) {
      debit(state, cleaning, { waste, owesG: Math.min(bringsG, expectedG + bringsG - fellG) })
      expectedG += bringsG
    } else otherG ||= bringsG
  }
  return expectedG || otherG
}

function wasteOf({ machineId }: CleaningSeen, { learned }: SubjectContext): CleaningWaste | null {
  const waste = learnedOf(learned, 'cleaningWaste', machineId)
  return waste && waste.cleanings >= LEAST_CLEANINGS ? waste : null
}

function debit(
  state: OwedState,
  { atMs }: CleaningSeen,
  { waste, owesG }: { waste: CleaningWaste; owesG: number },
): void {
  if (owesG <= 0) return
  if (state.cleanings === 0) state.fromMs = atMs
  state.owedG += owesG
  state.cleanings++
  state.varianceG2 += waste.sigmaG ** 2
}

/** Sets what arrived through `throughMs` against what is owed, and gives it, in g. */
function creditThrough(state: OwedState, throughMs: number, context: SubjectContext): number {
  const { points } = state
  const leastFallG = FALLEN_NOISES * noiseOf(state)
  let arrivedG = 0
  for (let next = points[1]; next && next.atMs <= throughMs; next = points[1]) {
    const [from] = points
    if (!from) break
    points.shift()
    const evaporatedG = (evaporationGPerDay(context) * (next.atMs - from.atMs)) / DAY_MS
    const sofarKg = (state.creditedKg ?? from.massKg) - evaporatedG / 1000
    const gainG = (next.massKg - sofarKg) * 1000
    state.creditedKg = gainG > 0 || gainG < -leastFallG ? next.massKg : sofarKg
    arrivedG += Math.max(0, gainG - cameBackG(state, (next.massKg - from.massKg) * 1000))
  }
  state.owedG -= arrivedG
  if (state.owedG <= 0) owesNothing(state)
  return arrivedG
}

/** Notes a step of the level in g, and gives how much of it is what a tube held up before. */
function cameBackG(state: OwedState, stepG: number): number {
  const { pulledG, falls } = state
  state.falls = stepG < -PULLED_G
  if (state.falls) state.pulledG = falls ? 0 : -stepG
  if (pulledG === 0 || Math.abs(stepG - pulledG) > BACK_WITHIN_G + BACK_WITHIN_SHARE * pulledG) return 0
  state.pulledG = 0
  return pulledG
}

function openWhenOwed(
  state: OwedState,
  { atMs, massKg }: SettledLevel,
  context: SubjectContext,
): Finding | null {
  const { owedG } = state
  const rule = bottleRuleOf(context)
  if (!rule || state.cleanings === 0) return null
  const { grams, sigmas } = context.settings.limits.wasteOwed
  const noiseG = learnedOf(context.learned, 'fillProfile', context.subject.id)?.noiseG ?? 0
  const scaleG = Math.max(noiseG, creepG(usualCellKg(rule.bottle)))
  if (owedG <= Math.max(grams, sigmas * Math.sqrt(state.varianceG2 + scaleG ** 2))) return null
  state.open = true
  state.lowKg = massKg
  state.worst = owedG
  return { type: 'opened', fromMs: state.fromMs, openedMs: atMs, value: owedG, worst: owedG }
}
