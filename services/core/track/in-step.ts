import { tellsSmallSteps } from './still.ts'
import type { InStepRule, TrustRule } from './trust-rule.ts'
import type { TrustState, Verdict } from './trust-state.ts'

/** A sensor of the same quantity in the same room; no state before its first reading. */
export interface Peer {
  readonly state: TrustState | null
  readonly rule: TrustRule
}

interface Value {
  readonly atMs: number
  readonly value: number
}

/** Back in step: this share of the limit; between the two nothing is decided. */
const BACK_SHARE = 0.8
/** So far apart is as sure as it gets: a quarter of the time is enough. */
const MOST_WEIGHT = 4
/** Of two, the one that stood still for more than this share of the time is the broken one. */
const STILL_SHARE = 0.5

/**
 * A sensor that differs for long from the others of its quantity in its room.
 *
 * STEP-1 with two others or more, apart from the middle value of all is apart: the odd one out.
 * STEP-2 with one other, a difference sets both apart; if only one of the two jumped, gave impossible values or stood
 *        still meanwhile, it alone is out of step. Else neither can be believed.
 * STEP-3 sure after `forMs` at the limit, in proportion sooner when further apart, down to a quarter; a reading that
 *        is clearly back ends the wait, as does a silence.
 * STEP-4 believed again after `backMs` back in step, or when every other turned out stuck or implausible, or is gone.
 * STEP-5 only sensors that speak and are neither stuck nor implausible are compared.
 */
export function stepInStep(
  state: TrustState,
  reading: Value,
  { inStep, peers, silent }: { inStep: InStepRule; peers: readonly Peer[]; silent: boolean },
): void {
  if (peers.length === 0 && !state.outOfStep?.distrusted) return
  const compared = comparable(peers, reading.atMs)
  if (compared.length === 0) return noteAlone(state, reading, peers)
  const apart = reading.value - middleWith(compared, reading.value)
  const weight = Math.abs(apart) / inStep.apart
  if (state.outOfStep?.distrusted)
    return noteOut(state.outOfStep, { state, reading, apart, weight, inStep, silent })
  if (weight <= BACK_SHARE || silent) endWait(state)
  if (weight <= 1) return
  if (state.apartFromMs === null) state.apartFromMs = reading.atMs
  else state.apartMs += (reading.atMs - (state.lastMs ?? reading.atMs)) * Math.min(weight, MOST_WEIGHT)
  if (state.apartMs < inStep.forMs) return
  const blame = blameOf(state, compared, reading.atMs, inStep)
  if (blame === 'other') return
  state.blamedAlone = blame === 'this'
  const sinceMs = state.apartFromMs
  state.outOfStep = { distrusted: true, sinceMs, sureMs: reading.atMs, value: apart, worst: apart }
  state.backFromMs = null
}

/** A sensor found stuck or implausible is not compared, and when it differed before, it is the one to blame. */
export function noteBroken(state: TrustState): void {
  endWait(state)
  state.backFromMs = null
  if (state.outOfStep?.distrusted) state.blamedAlone = true
}

function endWait(state: TrustState): void {
  state.apartFromMs = null
  state.apartMs = 0
}

function comparable(peers: readonly Peer[], atMs: number): readonly TrustState[] {
  const found: TrustState[] = []
  for (const { state, rule } of peers) {
    if (state === null || state.lastMs === null || isBroken(state)) continue
    if (atMs - state.lastMs <= rule.validForMs) found.push(state)
  }
  return found
}

function isBroken({ stuck, implausible }: TrustState): boolean {
  return stuck?.distrusted === true || implausible?.distrusted === true
}

/** What a value is measured against: the one other, or the middle value of all. */
function middleWith(others: readonly TrustState[], value: number): number {
  const [first] = others
  if (others.length === 1 && first) return first.lastValue
  const values = others.map((o) => o.lastValue)
  values.push(value)
  values.sort((a, b) => a - b)
  const half = values.length / 2
  return ((values[Math.floor(half)] ?? 0) + (values[Math.ceil(half) - 1] ?? 0)) / 2
}

function blameOf(
  state: TrustState,
  others: readonly TrustState[],
  atMs: number,
  rule: InStepRule,
): 'this' | 'other' | 'both' {
  const [other] = others
  if (others.length > 1 || !other) return 'this'
  if (other.outOfStep?.distrusted && other.blamedAlone) return 'other'
  // Of the two, the one that moved saw it first.
  const fromMs = Math.min(state.apartFromMs ?? atMs, other.apartFromMs ?? atMs)
  const isThis = isSuspect(state, fromMs, atMs, rule)
  if (isThis === isSuspect(other, fromMs, atMs, rule)) return 'both'
  return isThis ? 'this' : 'other'
}

function isSuspect(state: TrustState, fromMs: number, atMs: number, { fineStep }: InStepRule): boolean {
  const leaptOff = state.lastBadMs !== null && state.lastBadMs >= fromMs
  return (
    leaptOff || (tellsSmallSteps(state, fineStep) && state.stillFromMs < atMs - STILL_SHARE * (atMs - fromMs))
  )
}

function noteOut(
  verdict: Verdict,
  now: {
    state: TrustState
    reading: Value
    apart: number
    weight: number
    inStep: InStepRule
    silent: boolean
  },
): void {
  const { state, reading, apart, weight, inStep, silent } = now
  if (weight > BACK_SHARE) {
    state.backFromMs = null
    if (Math.abs(apart) > Math.abs(verdict.worst)) verdict.worst = apart
    return
  }
  if (state.backFromMs === null || silent) state.backFromMs = reading.atMs
  if (reading.atMs - state.backFromMs >= inStep.backMs)
    believe(state, verdict, state.backFromMs, reading.atMs)
}

/** Nobody to compare with. Where all others are broken or gone, that explains the difference; a silence does not. */
function noteAlone(state: TrustState, { atMs }: Value, peers: readonly Peer[]): void {
  endWait(state)
  state.backFromMs = null
  const explained = peers.every((p) => p.state !== null && isBroken(p.state))
  if (state.outOfStep?.distrusted && explained) believe(state, state.outOfStep, atMs, atMs)
}

function believe(state: TrustState, { value, worst }: Verdict, sinceMs: number, sureMs: number): void {
  state.outOfStep = { distrusted: false, sinceMs, sureMs, value, worst }
  state.blamedAlone = false
  endWait(state)
}
