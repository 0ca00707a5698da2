import { chiSquareQuantile } from './chi-square.ts'
import { mustBeConfidence, mustBeCount } from './check.ts'

export interface Interval {
  readonly low: number
  readonly high: number
}

/**
 * Score interval of a share after Wilson 1927: where the true share lies, given `hits` of `n` that were alike and did
 * not depend on each other. It stays within 0 to 1 and is sound for few and for none. Of none at all (`n` is 0) nothing
 * is known: 0 to 1.
 *
 * @example wilsonInterval(81, 263, 0.95) // 0.2553 to 0.3662
 * @throws {RangeError} if `hits` or `n` is no whole number, `hits` is not 0 to `n`, or `confidence` not within 0 to 1.
 */
export function wilsonInterval(hits: number, n: number, confidence: number): Interval {
  mustBeCount('hits', hits)
  mustBeCount('n', n)
  mustBeConfidence(confidence)
  if (hits > n) throw new RangeError(`hits must be 0 to n, got ${hits} of ${n}`)
  if (n === 0) return { low: 0, high: 1 }
  const z2 = chiSquareQuantile(confidence, 1)
  const share = hits / n
  const middle = share + z2 / (2 * n)
  const half = Math.sqrt((z2 * share * (1 - share)) / n + (z2 / (2 * n)) ** 2)
  const whole = 1 + z2 / n
  // At the ends the two terms are equal; rounding must not lead beyond them.
  return {
    low: hits === 0 ? 0 : Math.max(0, (middle - half) / whole),
    high: hits === n ? 1 : Math.min(1, (middle + half) / whole),
  }
}

/**
 * Exact interval of a rate after Garwood 1936: events for each unit of exposure, when `events` were counted in
 * `exposure` units and came independently of each other.
 *
 * @example poissonInterval(3, 1, 0.95) // 0.6187 to 8.7673
 * @throws {RangeError} if `events` is no whole number from 0 on, `exposure` is not above 0, or `confidence` not within 0
 *         to 1.
 */
export function poissonInterval(events: number, exposure: number, confidence: number): Interval {
  mustBeCount('events', events)
  mustBeConfidence(confidence)
  if (!(exposure > 0 && exposure < Infinity)) {
    throw new RangeError(`exposure must be above 0, got ${exposure}`)
  }
  const beyond = (1 - confidence) / 2
  return {
    low: events === 0 ? 0 : chiSquareQuantile(beyond, 2 * events) / 2 / exposure,
    high: chiSquareQuantile(1 - beyond, 2 * events + 2) / 2 / exposure,
  }
}
