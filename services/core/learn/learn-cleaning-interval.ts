import type { CleaningInterval } from '../model/learned/cleanings.ts'
import type { PowerState } from '../track/power.ts'
import { usualOf } from './power-stays.ts'

/** Names the method; a change of it makes another version. */
export const CLEANING_INTERVAL_VERSION = 'cleaning-interval-1'

const HOUR_MS = 3_600_000
const LEAST_INTERVALS = 5
/** What a machine does for less than this between two cleanings does not count. A starting value. */
const SHORT_MS = 2 * 60_000

export interface StateSpan {
  readonly state: PowerState
  readonly fromMs: number
  readonly toMs: number
}

export interface SeenCleanings {
  readonly machineId: string
  /** Cleanings that the meter saw, oldest first. */
  readonly cleanings: readonly { readonly fromMs: number; readonly toMs: number }[]
  /** What the machine did meanwhile, oldest first, without overlap; time that stands in none is taken as rest. */
  readonly spans: readonly StateSpan[]
}

/**
 * The usual time from one self-cleaning to the next.
 *
 * INTERVAL-1 it is the median from the end of one to the beginning of the next, over those between which the machine
 *            was on and idle all along.
 * INTERVAL-2 with fewer than five of these, those during which it printed count too; never those during which it was
 *            off, or during which nothing is known of it, for then a cleaning may have been missed.
 * INTERVAL-3 fewer than five intervals teach nothing: null.
 */
export function learnCleaningInterval({
  machineId,
  cleanings,
  spans,
}: SeenCleanings): CleaningInterval | null {
  const between = cleanings
    .slice(1)
    .map((next, i) => ({ fromMs: cleanings[i]?.toMs ?? next.fromMs, toMs: next.fromMs }))
  const watched = between.filter((b) => !was(['off', 'unknown'], b, spans))
  const idle = watched.filter((b) => !was(['printing'], b, spans))
  const used = idle.length >= LEAST_INTERVALS ? idle : watched
  const usual = usualOf(used.map((b) => b.toMs - b.fromMs))
  if (!usual || usual.count < LEAST_INTERVALS || usual.medianMs <= 0) return null
  return {
    kind: 'cleaningInterval',
    subjectId: machineId,
    fromMs: cleanings[0]?.fromMs ?? 0,
    toMs: cleanings.at(-1)?.toMs ?? 0,
    version: CLEANING_INTERVAL_VERSION,
    hours: usual.medianMs / HOUR_MS,
    spreadHours: usual.madMs / HOUR_MS,
    intervals: usual.count,
  }
}

type Stretch = Omit<StateSpan, 'state'>

function was(states: readonly PowerState[], { fromMs, toMs }: Stretch, spans: readonly StateSpan[]): boolean {
  return spans.some(
    (s) => states.includes(s.state) && Math.min(s.toMs, toMs) - Math.max(s.fromMs, fromMs) > SHORT_MS,
  )
}
