/**
 * Draws that depend on the seed, the name of the stream and a number alone, never on the order in which they are
 * asked: so a shop advanced in one stride or in a thousand gives the same draws, and a new stream moves no other.
 */
export interface Stream {
  /** Even draw from 0 up to, but without, 1 for the whole number `n`. */
  readonly at: (n: number) => number
  /** Draw from a normal distribution of mean 0 and deviation 1 for `n`. */
  readonly normalAt: (n: number) => number
  /** Even draws one after another, begun at `n`. */
  readonly sequence: (n: number) => () => number
}

export interface Chance {
  readonly stream: (name: string) => Stream
}

const TWO_32 = 0x1_0000_0000

/** @throws {RangeError} if `seed` is no whole number from 0 to 2^32 - 1. */
export function createChance(seed: number): Chance {
  if (!(Number.isInteger(seed) && seed >= 0 && seed < TWO_32)) {
    throw new RangeError(`seed must be a whole number from 0 to 4294967295, got ${seed}`)
  }
  return { stream: (name) => createStream(mixed(hashOf(name) ^ mixed(seed + 1))) }
}

function createStream(key: number): Stream {
  const at = (n: number): number => unit(key, n, 0)
  return {
    at,
    // Box and Muller 1958; 1 - u keeps the logarithm away from 0.
    normalAt: (n) => Math.sqrt(-2 * Math.log(1 - unit(key, n, 1))) * Math.cos(2 * Math.PI * unit(key, n, 2)),
    sequence: (n) => {
      let count = 0
      return () => unit(key, n, ++count + 2)
    },
  }
}

function unit(key: number, n: number, branch: number): number {
  const high = Math.floor(n / TWO_32)
  return mixed(mixed(mixed(key ^ (n >>> 0)) + high) ^ Math.imul(branch + 1, 0x9e3779b9)) / TWO_32
}

/** A 32-bit mixing step of the "lowbias32" kind (C. Wellons, public domain). */
function mixed(value: number): number {
  let x = value | 0
  x = Math.imul(x ^ (x >>> 16), 0x21f0aaad)
  x = Math.imul(x ^ (x >>> 15), 0xd35a2d97)
  return (x ^ (x >>> 15)) >>> 0
}

/** FNV-1a, 32 bits. */
function hashOf(text: string): number {
  let hash = 0x811c9dc5
  for (let at = 0; at < text.length; at++) hash = Math.imul(hash ^ text.charCodeAt(at), 0x01000193)
  return hash >>> 0
}
