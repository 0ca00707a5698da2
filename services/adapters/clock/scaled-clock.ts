import type { Clock } from '../../core/model/ports/clock.ts'

/** A clock that began at `startMs` and runs `speed` times as fast as real time: for the demo, where a night passes in minutes. */
export function createScaledClock({ startMs, speed }: { startMs: number; speed: number }): Clock {
  if (!(speed > 0 && speed <= 10_000)) throw new RangeError(`speed must be above 0 and at most 10000, got ${speed}`)
  const beganMs = performance.now()
  return {
    nowMs: () => Math.floor(startMs + (performance.now() - beganMs) * speed),
    realMs: (ms) => ms / speed,
  }
}
