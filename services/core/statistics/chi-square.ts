import { gammaln } from 'simple-statistics'

const ENOUGH_TERMS = 10_000
const NEGLIGIBLE = 1e-16
const HALVINGS = 200

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

/**
 * How probable it is that a chi-square of `degrees` of freedom comes out at `value` or above. Keeps its relative
 * precision far out in the tail, down to 1e-300.
 *
 * @throws {RangeError} if `value` is below 0 or no number, or `degrees` not above 0.
 */
export function chiSquareTail(value: number, degrees: number): number {
  if (!(value >= 0)) throw new RangeError(`value must be 0 or above, got ${value}`)
  if (!(degrees > 0)) throw new RangeError(`degrees must be above 0, got ${degrees}`)
  if (value === Infinity) return 0
  const a = degrees / 2
  const x = value / 2
  if (x < a + 1) return 1 - lowerGammaShare(a, x)
  return gammaScale(a, x) * upperFraction(a, x)
}

/** The regularised lower incomplete gamma function P(a, x): its series (DLMF 8.11.4), or its continued fraction (8.9.2). */
function lowerGammaShare(a: number, x: number): number {
  if (x <= 0) return 0
  return x < a + 1 ? gammaScale(a, x) * lowerSeries(a, x) : 1 - gammaScale(a, x) * upperFraction(a, x)
}

function gammaScale(a: number, x: number): number {
  return Math.exp(a * Math.log(x) - x - gammaln(a))
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
