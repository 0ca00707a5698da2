import type { BottleFacts } from '../track/bottle-facts.ts'
import type { SubjectContext } from '../track/tracker.ts'
import { validForMsOf } from '../track/validity.ts'
import { evaporationGPerDay } from './bottle-evaporation.ts'
import type { Detector, Finding } from './detector.ts'

const QUARTER_MS = 15 * 60_000
const HOUR_MS = 4 * QUARTER_MS
const HOURS_KEPT = 24
/** A fall that comes with one quarter of an hour is a tube or a thing taken off the scale, no stream. Starting value. */
const LARGEST_SHARE_OF_ONE_QUARTER = 0.75
/** An hour is quiet when no quarter of it gained more, or fell by more, than this: no purge, no tube. Starting values. */
const QUIET_GAIN_G = 1
const QUIET_FALL_G = 6
/** So many quiet hours of a day tell its leak; drift of the scale is then small beside it. */
const LEAST_QUIET_HOURS = 6
/** What is open closes when its losses are below this share of what would open it. */
const CLOSE_SHARE = 0.5

export interface LosingState {
  /** What the scale read at the last quarters of an hour, in g; the oldest an hour before the newest. */
  quartersG: number[]
  lastMs: number | null
  /** The last day's hours, oldest first: weight at the beginning, and what a quiet one lost; null for the others. */
  hours: { fromMs: number; startG: number; quietG: number | null }[]
  handledMs: number | null
  open: boolean
  worst: number
}

interface Loss {
  /** Measured over allowed: over 1 it is a loss. */
  readonly ratio: number
  readonly grams: number
  readonly fromMs: number
}

/**
 * A waste bottle that grows lighter: it leaks, or somebody takes from it.
 *
 * LOSING-1 opens when the last hour lost more than `gramsPerHour`, spread over more than one of its quarters: a tube that
 *          pulls, or a thing taken off the scale, falls at once.
 * LOSING-2 opens when the last day, or what there is of it since a hand was at the bottle, lost more than `gramsPerDay`
 *          beyond the evaporation learned; what flowed in is counted against it.
 * LOSING-3 opens when the quiet hours of the last day, six or more, lost at a rate over `gramsPerDay` beyond the evaporation:
 *          between purges also a leak shows that is smaller than what flows in.
 * LOSING-4 closes when all three have fallen to half, or when a hand was at the bottle (BOTTLE-7), from where it counts anew.
 * LOSING-5 a lifted bottle or a silent scale proves nothing, and the first quarter after it only what is at rest: a hand may
 *          have been there meanwhile. A gap of more than two quarters begins the hour anew.
 *
 * Value and worst are g: lost in the last hour, in the last day, or at the day's rate of the quiet hours.
 */
export const bottleLosingWeight: Detector<LosingState, BottleFacts> = {
  condition: 'bottleLosingWeight',
  hears: ['mass'],
  initial: () => ({ quartersG: [], lastMs: null, hours: [], handledMs: null, open: false, worst: 0 }),
  onFacts: (state, { facts, context }, cause) => {
    if (cause.type === 'order') {
      return validForMsOf(context, 'mass') === 0 ? beginAnew(state, null, cause.order.atMs) : null
    }
    if (cause.type === 'deadline') return null
    const { atMs } = cause.reading
    if (facts.handledMs !== state.handledMs) return beginAnew(state, facts.handledMs, atMs)
    if (facts.massKg === null || facts.lift !== null || isChanging(facts, atMs)) return null
    if (state.lastMs !== null && atMs - state.lastMs < QUARTER_MS) return null
    noteQuarter(state, atMs, facts.massKg * 1000)
    return judge(state, atMs, context)
  },
  deadlineMs: () => Infinity,
  onDeadline: () => null,
}

function beginAnew(state: LosingState, handledMs: number | null, closedMs: number): Finding | null {
  const { open, worst } = state
  state.quartersG.length = 0
  state.hours.length = 0
  state.lastMs = null
  state.handledMs = handledMs
  state.open = false
  return open ? { type: 'closed', toMs: handledMs ?? closedMs, closedMs, worst } : null
}

/**
 * Not at rest, and not for long: a hand may be at work, or was while the scale was silent. What runs out without a rest
 * is judged after a quarter.
 */
function isChanging({ settled, standingFromMs }: BottleFacts, atMs: number): boolean {
  if (settled === null) return true
  const sinceMs = Math.max(settled.atMs, standingFromMs ?? settled.atMs)
  return settled.atMs < atMs && atMs - sinceMs < QUARTER_MS
}

function noteQuarter(state: LosingState, atMs: number, massG: number): void {
  const { quartersG, hours } = state
  if (state.lastMs !== null && atMs - state.lastMs > 2 * QUARTER_MS) quartersG.length = 0
  state.lastMs = atMs
  quartersG.push(massG)
  if (quartersG.length > 5) quartersG.shift()
  const current = hours[hours.length - 1]
  if (current && atMs - current.fromMs < HOUR_MS) return
  if (current && quartersG.length === 5) current.quietG = quietLossG(quartersG)
  hours.push({ fromMs: atMs, startG: massG, quietG: null })
  if (hours.length > HOURS_KEPT + 1) hours.shift()
}

/** What an hour lost in which nothing else happened, in g; negative when it gained a little. */
function quietLossG(quartersG: readonly number[]): number | null {
  for (let i = 1; i < quartersG.length; i++) {
    const fallG = fallIn(quartersG, i)
    if (fallG < -QUIET_GAIN_G || fallG > QUIET_FALL_G) return null
  }
  return (quartersG[0] ?? 0) - (quartersG[quartersG.length - 1] ?? 0)
}

function fallIn(quartersG: readonly number[], i: number): number {
  return (quartersG[i - 1] ?? 0) - (quartersG[i] ?? 0)
}

function judge(state: LosingState, atMs: number, context: SubjectContext): Finding | null {
  const { gramsPerHour, gramsPerDay } = context.settings.limits.bottleLosing
  const evaporatedG = evaporationGPerDay(context)
  const loss = [
    hourLoss(state, atMs, gramsPerHour),
    dayLoss(state, atMs, { gramsPerDay, evaporatedG }),
    quietLoss(state, atMs, { gramsPerDay, evaporatedG }),
  ].reduce((a, b) => (b.ratio > a.ratio ? b : a))
  if (state.open) {
    if (loss.ratio > 1) state.worst = Math.max(state.worst, loss.grams)
    if (loss.ratio > CLOSE_SHARE) return null
    state.open = false
    return { type: 'closed', toMs: atMs, closedMs: atMs, worst: state.worst }
  }
  if (loss.ratio <= 1) return null
  state.open = true
  state.worst = loss.grams
  return { type: 'opened', fromMs: loss.fromMs, openedMs: atMs, value: loss.grams, worst: loss.grams }
}

function hourLoss({ quartersG }: LosingState, atMs: number, gramsPerHour: number): Loss {
  const grams = (quartersG[0] ?? 0) - (quartersG[quartersG.length - 1] ?? 0)
  let largest = 0
  for (let i = 1; i < quartersG.length; i++) largest = Math.max(largest, fallIn(quartersG, i))
  const spread = largest <= LARGEST_SHARE_OF_ONE_QUARTER * grams
  return { ratio: spread ? grams / gramsPerHour : 0, grams, fromMs: atMs - HOUR_MS }
}

interface DayRule {
  readonly gramsPerDay: number
  readonly evaporatedG: number
}

function dayLoss(
  { hours, quartersG }: LosingState,
  atMs: number,
  { gramsPerDay, evaporatedG }: DayRule,
): Loss {
  // The least of the first third: a thing that lay on the scale for some hours is missed by nobody.
  let first = hours[0]
  if (!first) return { ratio: 0, grams: 0, fromMs: atMs }
  for (let i = 1; i < hours.length / 3; i++) {
    const hour = hours[i]
    if (hour && hour.startG < first.startG) first = hour
  }
  const grams = first.startG - (quartersG[quartersG.length - 1] ?? 0)
  return { ratio: grams / (gramsPerDay + evaporatedG), grams, fromMs: first.fromMs }
}

function quietLoss({ hours }: LosingState, atMs: number, { gramsPerDay, evaporatedG }: DayRule): Loss {
  let sumG = 0
  let quiet = 0
  for (const { quietG } of hours) {
    if (quietG === null) continue
    sumG += quietG
    quiet++
  }
  if (quiet < LEAST_QUIET_HOURS) return { ratio: 0, grams: 0, fromMs: atMs }
  const grams = (sumG / quiet) * HOURS_KEPT
  return { ratio: grams / (gramsPerDay + evaporatedG), grams, fromMs: hours[0]?.fromMs ?? atMs }
}
