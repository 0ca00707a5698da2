import type { Alarm } from '../model/alarm.ts'
import { isMoreUrgent } from './urgency.ts'

const MIN = 60_000
/** All starting values, ours. Chattering itself, three times within a minute, is only measured (`measures`). */
export const REOPEN_WITHIN_MS = 30 * MIN
export const SEEN_HOLDS_MS = 60 * MIN
const RESTLESS_TIMES = 3
const RESTLESS_WITHIN_MS = 30 * MIN
export const SETTLED_AFTER_MS = 10 * MIN

/**
 * A condition that comes and goes is one trouble, and nobody is told of it ten times.
 *
 * REALARM-1 it holds again within 30 minutes of its end: the same alarm opens again, is counted, and gets its task back.
 * REALARM-2 then it asks for somebody again, unless somebody took it on within the last hour while it held and it is no
 *           more urgent than it was: they are on it.
 * REALARM-3 one that arose three times within 30 minutes is restless: it is over only when its condition has been over
 *           for 10 minutes at a stretch. Until then its ends and beginnings are counted and told to nobody.
 */
export function reopens({ state, returnedMs }: Pick<Alarm, 'state' | 'returnedMs'>, nowMs: number): boolean {
  return state === 'normal' && returnedMs !== null && nowMs - returnedMs <= REOPEN_WITHIN_MS
}

/** Is somebody on it still, after REALARM-2? */
export function isSeenStill(
  before: Pick<Alarm, 'acknowledged' | 'returnedMs' | 'urgency'>,
  now: Pick<Alarm, 'urgency'>,
  nowMs: number,
): boolean {
  const { acknowledged, returnedMs } = before
  if (acknowledged === null || returnedMs === null || acknowledged.atMs > returnedMs) return false
  return nowMs - acknowledged.atMs <= SEEN_HOLDS_MS && !isMoreUrgent(now, before)
}

/** The times at which an alarm arose, as far as REALARM-3 needs them. */
export function aroseTimes(before: readonly number[], nowMs: number): number[] {
  return [...before, nowMs].slice(-RESTLESS_TIMES)
}

export function isRestless(arose: readonly number[], nowMs: number): boolean {
  return arose.length === RESTLESS_TIMES && nowMs - (arose[0] ?? -Infinity) <= RESTLESS_WITHIN_MS
}
