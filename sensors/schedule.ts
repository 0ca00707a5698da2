import { setTimeout as wait } from 'node:timers/promises'
import type { NodeClock } from './node-clock.ts'

/**
 * Does the work at once and then at every multiple of `everyMs` after the start, on the monotonic clock, until the
 * signal. Work that takes longer than a turn makes turns drop out; the ones after keep their places.
 */
export async function everyTurn(
  { everyMs, clock, signal }: { everyMs: number; clock: NodeClock; signal: AbortSignal },
  work: () => Promise<void>,
): Promise<void> {
  const startMs = clock.monotonicMs()
  while (!signal.aborted) {
    await work()
    const sinceMs = clock.monotonicMs() - startMs
    const nextMs = (Math.floor(sinceMs / everyMs) + 1) * everyMs
    // An abort ends the wait early; the loop then ends by itself.
    await wait(nextMs - sinceMs, undefined, { signal }).catch(() => undefined)
  }
}
