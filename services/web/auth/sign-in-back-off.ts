import { isIPv6 } from 'node:net'

/** So many wrong tries are free; then each further one doubles the wait. Starting values. */
const FREE_TRIES = 5
const FIRST_WAIT_MS = 1_000
const LONGEST_WAIT_MS = 15 * 60_000
/** At the shop's own computer the wait stays short: nobody can shut the owner out there. */
const LONGEST_WAIT_AT_LOOPBACK_MS = 30_000
/** Wrong tries are forgotten after this long without another. */
const FORGET_MS = 60 * 60_000
const MOST_ENTRIES = 10_000

export interface SignInBackOff {
  /** Milliseconds to wait before this address may try this name again; 0 when it may now. */
  readonly waitMs: (address: string, name: string) => number
  readonly failed: (address: string, name: string) => void
  readonly succeeded: (address: string, name: string) => void
}

/**
 * Slows the guessing of passwords. Counted for an address and a name together: a stranger who guesses at the
 * owner's name makes himself wait, and never the owner.
 */
export function createSignInBackOff({ nowMs }: { readonly nowMs: () => number }): SignInBackOff {
  const tries = new Map<string, { failures: number; lastMs: number }>()
  const keyOf = (address: string, name: string): string => `${networkOf(address)}|${name.toLowerCase()}`

  return {
    waitMs: (address, name) => {
      const entry = tries.get(keyOf(address, name))
      if (!entry || entry.failures < FREE_TRIES) return 0
      const longest = isLoopbackAddress(address) ? LONGEST_WAIT_AT_LOOPBACK_MS : LONGEST_WAIT_MS
      const wait = Math.min(longest, FIRST_WAIT_MS * 2 ** Math.min(entry.failures - FREE_TRIES, 30))
      return Math.max(0, entry.lastMs + wait - nowMs())
    },
    failed: (address, name) => {
      const key = keyOf(address, name)
      const known = tries.get(key)
      const now = nowMs()
      const failures = known && now - known.lastMs < FORGET_MS ? known.failures + 1 : 1
      // Taken out and put back, so that the map stays in order of the last try and the oldest goes first.
      tries.delete(key)
      tries.set(key, { failures, lastMs: now })
      const oldest = tries.keys().next()
      if (tries.size > MOST_ENTRIES && !oldest.done) tries.delete(oldest.value)
    },
    succeeded: (address, name) => tries.delete(keyOf(address, name)),
  }
}

export function isLoopbackAddress(address: string): boolean {
  return address === '::1' || /^(::ffff:)?127\./.test(address)
}

/** An IPv6 subscriber holds 64 bits of addresses, so the network is counted, not the address. */
function networkOf(address: string): string {
  if (!isIPv6(address) || address.startsWith('::')) return address
  const [head = '', tail] = address.split('::')
  const left = head.split(':')
  const missing = tail === undefined ? 0 : 8 - left.length - tail.split(':').length
  return [...left, ...Array<string>(missing).fill('0')].slice(0, 4).join(':')
}
