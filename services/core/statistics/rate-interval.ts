import { gammaln } from 'simple-statistics'

export interface Interval {
  readonly low: number
  readonly high: number
}

const ENOUGH_TERMS = 10_000
const NEGLIGIBLE = 1e-16
const HALVINGS = 200

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

/**
 * The value that a chi-square of `degrees` of freedom stays below with probability `p`. Found by halving an interval on
 * the distribution function, which rises throughout: slow and certain.
 *
 * @throws {RangeError} if `p` is not within 0 to 1, or `degrees` not above 0.
 */
export function chiSquareQuantile(p: number, degrees: number): number {
  if (!(p > 0 && p < 1)) throw new RangeError(`p must be above 0 and below 1, got ${p}`)
  if (!(degrees > 0)) throw new RangeError(`degrees must be above 0, got ${degrees}`)
  let low = 0
  let high = degrees
  while (lowerGammaShare(degrees / 2, high / 2) < p) high *= 2
  for (let i = 0; i < HALVINGS && high - low > NEGLIGIBLE * high; i++) {
    const middle = (low + high) / 2
    if (middle <= low || middle >= high) break
    if (lowerGammaShare(degrees / 2, middle / 2) < p) low = middle
    else high = middle
  }
  return (low + high) / 2
}

/** The regularised lower incomplete gamma function P(a, x): its series (DLMF 8.11.4), or its continued fraction (8.9.2). */
function lowerGammaShare(a: number, x: number): number {
  if (x <= 0) return 0
  const scale = Math.exp(a * Math.log(x) - x - gammaln(a))
  return x < a + 1 ? scale * lowerSeries(a, x) : 1 - scale * upperFraction(a, x)
}

function lowerSeries(a: number, x: number): number {
  let term = 1 / a
  let sum = term
  for (let n = 1; n < ENOUGH_TERMS && term > NEGLIGIBLE * sum; n++) {
    term *= x / (a + n)
    sum += term
  }
  return sum
}

/** Evaluated forwards after Lentz 1976. */
function upperFraction(a: number, x: number): number {
  const tiny = Number.MIN_VALUE / NEGLIGIBLE
  let b = x + 1 - a
  let c = 1 / tiny
  let d = 1 / b
  let value = d
  for (let n = 1; n < ENOUGH_TERMS; n++) {
    const an = -n * (n - a)
    b += 2
    d = 1 / nonZero(an * d + b, tiny)
    c = nonZero(b + an / c, tiny)
    const change = c * d
    value *= change
    if (Math.abs(change - 1) < NEGLIGIBLE) break
  }
  return value
}

function nonZero(value: number, tiny: number): number {
  return Math.abs(value) < tiny ? tiny : value
}

function mustBeCount(name: string, value: number): void {
  if (!(Number.isInteger(value) && value >= 0)) {
    throw new RangeError(`${name} must be a whole number from 0 on, got ${value}`)
  }
}

function mustBeConfidence(confidence: number): void {
  if (!(confidence > 0 && confidence < 1)) {
    throw new RangeError(`confidence must be above 0 and below 1, got ${confidence}`)
  }
}
