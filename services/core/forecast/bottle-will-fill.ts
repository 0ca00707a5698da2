import type { Detector, Finding } from '../detect/detector.ts'
import { learnedOf } from '../model/learned.ts'
import { FORECAST_GRID_MS } from '../model/learned/room-nights.ts'
import type { BottleFacts } from '../track/bottle-facts.ts'
import { bottleRuleOf } from '../track/bottle-of.ts'
import type { SubjectContext } from '../track/tracker.ts'
import { validForMsOf } from '../track/validity.ts'
import { bottleAhead, BOTTLE_HORIZON_MS, probabilityFullBefore, type BottleAhead } from './bottle-ahead.ts'

/** What is open closes below this share of the probability that opens it. */
const CLOSE_SHARE = 0.6
/** A shop without hours never opens: the coming day is judged. */
const WITHOUT_HOURS_MS = 86_400_000

export interface WillFillState {
  /** The next point of the grid; null while the scale is silent. */
  nextMs: number | null
  /** 0: closed. 1: probable enough for the list. 2: probable enough to wake somebody. */
  level: 0 | 1 | 2
  worst: number
}

/**
 * A waste bottle that will probably be full before anybody comes.
 *
 * WILL-FILL-1 judged every 15 min and at closing, never at a reading: opens when the probability that the bottle is full
 *             (`bottleFullPct.openAbove`) before the next opening is `listProbability` or more; closes when it is below 0.6
 *             of that.
 *             At `wakeProbability` it grows to its next level, which is another episode.
 * WILL-FILL-2 with less than two weeks of history it is never open.
 * WILL-FILL-3 a lifted bottle is not judged until it is weighed again; nor is a silent scale, until it speaks.
 *
 * Value and worst are the probability in percent.
 */
export const bottleWillFill: Detector<WillFillState, BottleFacts> = {
  condition: 'bottleWillFill',
  hears: ['mass'],
  initial: () => ({ nextMs: null, level: 0, worst: 0 }),
  onFacts: (state, { context }, cause) => {
    if (cause.type === 'reading') state.nextMs ??= nextGridMs(cause.reading.atMs, context)
    if (cause.type !== 'order' || validForMsOf(context, 'mass') > 0) return null
    state.nextMs = null
    return close(state, cause.order.atMs)
  },
  deadlineMs: (state) => state.nextMs ?? Infinity,
  onDeadline: (state, { facts, context }, atMs) => {
    state.nextMs = facts.standing === 'unknown' ? null : nextGridMs(atMs, context)
    if (facts.massKg === null) return null
    const untilMs = filledBeforeMs(atMs, context)
    const ahead = bottleAheadOf(facts, context, { atMs, horizonMs: untilMs - atMs })
    const probability = ahead?.basis === 'weeks' ? (probabilityFullBefore(ahead, untilMs) ?? 0) : 0
    return judge(state, probability, atMs, context)
  },
}

/** The forecast from what is known of a bottle; null while it is not weighed. */
export function bottleAheadOf(
  { massKg }: BottleFacts,
  context: SubjectContext,
  { atMs, horizonMs = BOTTLE_HORIZON_MS }: { atMs: number; horizonMs?: number },
): BottleAhead | null {
  const rule = bottleRuleOf(context)
  if (!rule || massKg === null) return null
  const { settings, calendar, learned, subject } = context
  return bottleAhead({
    atMs,
    bottle: rule.bottle,
    massKg,
    limitPct: settings.limits.bottleFullPct.openAbove,
    profile: learnedOf(learned, 'fillProfile', subject.id),
    calendar,
    weekly: settings.hours.weekly,
    horizonMs,
  })
}

/** The next opening, which is what a bottle must last until; a day from now for a shop without hours. */
export function filledBeforeMs(atMs: number, { calendar }: SubjectContext): number {
  const openingMs = calendar.nextOpeningAfter(atMs) ?? atMs + WITHOUT_HOURS_MS
  return Math.min(openingMs, atMs + BOTTLE_HORIZON_MS)
}

function nextGridMs(atMs: number, { calendar }: SubjectContext): number {
  const gridMs = (Math.floor(atMs / FORECAST_GRID_MS) + 1) * FORECAST_GRID_MS
  const changeMs = calendar.nextChangeAfter(atMs)
  return changeMs !== null && calendar.isOpenAt(atMs) ? Math.min(gridMs, changeMs) : gridMs
}

function judge(
  state: WillFillState,
  probability: number,
  atMs: number,
  { settings }: SubjectContext,
): Finding | null {
  const { listProbability, wakeProbability } = settings.limits.forecast
  const value = probability * 100
  const level = probability >= wakeProbability ? 2 : probability >= listProbability ? 1 : 0
  if (level > state.level) {
    state.level = level
    state.worst = value
    return { type: 'opened', fromMs: atMs, openedMs: atMs, value, worst: value }
  }
  if (state.level === 0) return null
  state.worst = Math.max(state.worst, value)
  return probability < CLOSE_SHARE * listProbability ? close(state, atMs) : null
}

function close(state: WillFillState, atMs: number): Finding | null {
  if (state.level === 0) return null
  state.level = 0
  return { type: 'closed', toMs: atMs, closedMs: atMs, worst: state.worst }
}
