import type { NodeClock } from '../../sensors/node-clock.ts'
import type { Sample } from '../../sensors/sample.ts'

/** A node's clocks that move only when told to. */
export interface HandClock extends NodeClock {
  readonly advance: (ms: number) => void
  /** The time server answers: the wall clock jumps, the monotonic one does not. */
  readonly setWall: (nowMs: number) => void
}

export function createHandClock(start: { nowMs: number; monotonicMs?: number; bootId?: string }): HandClock {
  let nowMs = start.nowMs
  let monotonicMs = start.monotonicMs ?? 0
  return {
    bootId: start.bootId ?? 'b0b0',
    nowMs: () => nowMs,
    monotonicMs: () => monotonicMs,
    advance: (ms) => {
      nowMs += ms
      monotonicMs += ms
    },
    setWall: (ms) => (nowMs = ms),
  }
}

/** A humidity sample of this moment. */
export function sampleNow(clock: NodeClock, change: Partial<Sample> = {}): Sample {
  return {
    channel: 'air',
    quantity: 'humidity',
    value: 41.5,
    atMs: clock.nowMs(),
    monotonicMs: clock.monotonicMs(),
    trustedClock: true,
    ...change,
  }
}
