import { randomBytes } from 'node:crypto'
import type { Sample } from './sample.ts'

/** No wall clock that shows a time before this project's first year can be right: 2024-01-01T00:00:00Z. */
const TRUSTED_FROM_MS = Date.UTC(2024, 0, 1)

/** Both clocks of a node. `monotonicMs` never jumps and means something only within one `bootId`. */
export interface NodeClock {
  readonly bootId: string
  readonly nowMs: () => number
  readonly monotonicMs: () => number
}

export function createSystemNodeClock(): NodeClock {
  return {
    bootId: randomBytes(8).toString('hex'),
    nowMs: () => Date.now(),
    monotonicMs: () => performance.now(),
  }
}

export function isTrusted(wallMs: number): boolean {
  return wallMs >= TRUSTED_FROM_MS
}

/** The moment of a measurement, as well as it can be known now. */
export type Dating =
  | { readonly kind: 'absolute'; readonly atMs: number }
  | { readonly kind: 'ago'; readonly agoMs: number }
  | { readonly kind: 'unknown' }

/**
 * When a sample of the boot `bootId` was taken.
 *
 * DATE-1 a time from a right wall clock stands.
 * DATE-2 one from a wrong clock is counted back on the monotonic clock of the same boot, to a date once the wall
 *        clock is right, until then to so long ago.
 * DATE-3 after another start nobody can tell.
 */
export function dateSample(sample: Sample, bootId: string, clock: NodeClock): Dating {
  if (sample.trustedClock) return { kind: 'absolute', atMs: sample.atMs }
  if (bootId !== clock.bootId) return { kind: 'unknown' }
  const agoMs = Math.max(0, clock.monotonicMs() - sample.monotonicMs)
  const nowMs = clock.nowMs()
  return isTrusted(nowMs) ? { kind: 'absolute', atMs: nowMs - agoMs } : { kind: 'ago', agoMs }
}
