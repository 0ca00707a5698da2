import { setTimeout as timer } from 'node:timers/promises'
import type { NodeClock } from './node-clock.ts'

export interface Turns {
  readonly everyMs: number
  readonly clock: NodeClock
  readonly signal: AbortSignal
  /** Resolves after so long, or at an abort. Default: a timer. */
  readonly wait?: (ms: number, signal: AbortSignal) => Promise<void>
}

/**
 * Does the work at once and then at every multiple of `everyMs` after the start, on the monotonic clock, until the
 * signal. Work that takes longer than a turn makes turns drop out; the ones after keep their places.
 */
export async function everyTurn(
  { everyMs, clock, signal, wait = waitOnTimer }: Turns,
  work: () => Promise<void>,
): Promise<void> {
  const startMs = clock.monotonicMs()
  let turn = 0
  while (!signal.aborted) {
    await work()
    const sinceMs = clock.monotonicMs() - startMs
    // A timer may fire a moment early: the turn it was for is not done twice.
    turn = Math.max(turn, Math.floor(sinceMs / everyMs)) + 1
    await wait(turn * everyMs - sinceMs, signal)
  }
}

async function waitOnTimer(ms: number, signal: AbortSignal): Promise<void> {
  // The rejection of an abort says nothing new: the loop looks at the signal itself.
  await timer(ms, undefined, { signal }).catch(() => undefined)
}
