import type { Clock } from '../../core/model/ports/clock.ts'

/**
 * The computer's clock, held still where it steps back, so that the log never runs backwards. A step forward is
 * followed at once: silence that it seems to make is ended by the next reading.
 */
export function createSystemClock(): Clock {
  let lastMs = 0
  return {
    nowMs: () => (lastMs = Math.max(lastMs, Date.now())),
    realMs: (ms) => ms,
  }
}
