import type { AlarmChange } from '../../model/alarm-change.ts'
import type { Alarm } from '../../model/alarm.ts'
import { isInQuiet, isSetAside } from '../life-cycle.ts'
import type { Window } from './load.ts'

const DAY_MS = 24 * 3_600_000
const CHATTERS_TIMES = 3
const CHATTERS_WITHIN_MS = 60_000

/** How alarms behaved, each by itself. */
export interface Manners {
  /** Alarms that arose three times or more within a minute. */
  readonly chattering: number
  /** The most alarms that were stale on one day: holding for more than 24 h, and not set aside. */
  readonly mostStaleOnADay: number
  readonly staleNow: number
  readonly shelved: number
  readonly inQuiet: number
  readonly shelvedNow: number
  readonly inQuietNow: number
}

/** `open`: the alarms that are not normal at the end of the window. */
export function mannersOf(changes: readonly AlarmChange[], open: readonly Alarm[], window: Window): Manners {
  const holding = open.filter((a) => a.returnedMs === null && !isSetAside(a))
  const spans = [...endedSpans(changes), ...holding.map((a) => ({ fromMs: a.openedMs, toMs: window.toMs }))]
  return {
    chattering: chatteringOf(changes).length,
    mostStaleOnADay: mostStale(spans, window),
    staleNow: holding.filter((a) => window.toMs - a.openedMs > DAY_MS).length,
    shelved: changes.filter((c) => c.state === 'shelved' && c.from !== 'shelved').length,
    inQuiet: changes.filter((c) => isInQuiet(c) && (c.from === null || !isInQuiet({ state: c.from }))).length,
    shelvedNow: open.filter((a) => a.state === 'shelved').length,
    inQuietNow: open.filter(isInQuiet).length,
  }
}

/** The root keys of those that chattered. */
function chatteringOf(changes: readonly AlarmChange[]): readonly string[] {
  const arose = new Map<string, number[]>()
  for (const c of changes) if (c.arose) arose.set(c.rootKey, [...(arose.get(c.rootKey) ?? []), c.atMs])
  return [...arose].flatMap(([rootKey, times]) => {
    const last = CHATTERS_TIMES - 1
    return times.some((atMs, i) => i >= last && atMs - (times[i - last] ?? -Infinity) <= CHATTERS_WITHIN_MS)
      ? [rootKey]
      : []
  })
}

/** From when an alarm arose to when it was over or set aside. */
function endedSpans(changes: readonly AlarmChange[]): readonly Window[] {
  return changes.flatMap((c) => {
    const stood = c.from === 'unacknowledged' || c.from === 'acknowledged'
    const stands = c.state === 'unacknowledged' || c.state === 'acknowledged'
    return stood && !stands ? [{ fromMs: c.sinceMs, toMs: c.atMs }] : []
  })
}

/** Days are counted back from the end of the window. */
function mostStale(spans: readonly Window[], { fromMs, toMs }: Window): number {
  const stale = spans.map((s) => s.fromMs + DAY_MS)
  let most = 0
  for (let endMs = toMs; endMs > fromMs; endMs -= DAY_MS) {
    const on = spans.filter(
      (s, i) => (stale[i] ?? Infinity) < Math.min(s.toMs, endMs) && s.toMs > endMs - DAY_MS,
    )
    most = Math.max(most, on.length)
  }
  return most
}
