import type { Clock } from '../../core/model/ports/clock.ts'

/** A clock that stands at `startMs` until it is first asked, and from then on runs `speed` times as fast as real time: for the demo, where a night passes in minutes. */
export function createScaledClock({ startMs, speed }: { startMs: number; speed: number }): Clock {
  if (!(speed > 0 && speed <= 10_000))
    throw new RangeError(`speed must be above 0 and at most 10000, got ${speed}`)
  let beganMs: number | null = null
  return {
    nowMs: () => {
      beganMs ??= performance.now()
      return Math.floor(startMs + (performance.now() - beganMs) * speed)
    },
    realMs: (ms) => ms / speed,
  }
}
