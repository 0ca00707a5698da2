import { isFlood } from './alarm-life.ts'
import { telling, type TellingRun } from './telling-run.ts'

const WITHIN_MS = 10 * 60_000
/** More single messages than one reads one by one. Starting value. */
const MOST_SINGLE = 3

/**
 * Are these told as one message?
 *
 * MANY-1 from the fourth message within ten minutes on, or in a flood of alarms from the second.
 */
export function isManyAtOnce(run: TellingRun, fresh: number): boolean {
  const { askings } = telling(run)
  const sinceMs = run.nowMs - WITHIN_MS
  const recent = [...askings.values()].filter((a) => !a.stopped && a.sinceMs > sinceMs)
  if (recent.some((a) => a.many)) return true
  const together = recent.length + fresh
  return together > (isFlood(run.state) ? 1 : MOST_SINGLE)
}
