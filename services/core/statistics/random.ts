/** A stream of numbers from 0 to below 1. The same seed gives the same stream, on every machine. */
export type Draw = () => number

/**
 * A seeded stream of numbers that look like chance (mulberry32, public domain, by Tommy Ettinger: from memory). Good
 * enough to shuffle weeks, of no use for secrets.
 *
 * @param seed any whole number; its lowest 32 bits count.
 * @throws {RangeError} if `seed` is no whole number.
 */
export function seededDraw(seed: number): Draw {
  if (!Number.isSafeInteger(seed)) throw new RangeError(`seed must be a whole number, got ${seed}`)
  let state = seed >>> 0
  return () => {
    state = (state + 0x6d2b79f5) >>> 0
    let t = state
    t = Math.imul(t ^ (t >>> 15), t | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 4_294_967_296
  }
}

/** Puts `order` into a new order in place, each with the same probability (Fisher and Yates 1938). */
export function shuffle(order: Uint16Array, draw: Draw): void {
  for (let i = order.length - 1; i > 0; i--) {
    const j = Math.floor(draw() * (i + 1))
    const kept = order[i] ?? 0
    order[i] = order[j] ?? 0
    order[j] = kept
  }
}
