import { mustAllBeFinite, mustMatch } from './check.ts'

export interface LeastSquares {
  /** One for each column, in their order. */
  readonly coefficients: readonly number[]
  readonly standardErrors: readonly number[]
  readonly residualDeviation: number
}

/** What is left of a column that is a sum of the others, but for rounding. */
const GONE = 1e-13

/**
 * Linear least squares by Householder's reflections, with the columns brought to one length first and the solution
 * refined once on its own residuals (Golub and Van Loan 5.3; Bjoerck 1967). Keeps 9 digits on NIST's Longley.
 *
 * @param columns the regressors, each as long as `y`; a constant is a column of ones.
 * @returns null where a column is a sum of the others, or there are no more rows than columns.
 * @throws {RangeError} if lengths differ or a value is not finite.
 */
export function leastSquares(
  columns: readonly (readonly number[])[],
  y: readonly number[],
): LeastSquares | null {
  mustAllBeFinite('y', y)
  columns.forEach((column, j) => {
    mustMatch(`columns[${j}] and y`, column.length, y.length)
    mustAllBeFinite(`columns[${j}]`, column)
  })
  if (y.length <= columns.length) return null
  const lengths = columns.map(norm)
  if (lengths.some((l) => l === 0)) return null
  const scaled = columns.map((c, j) => c.map((v) => v / (lengths[j] ?? NaN)))
  const reflected = reflect(scaled)
  if (reflected === null) return null
  const first = reflected.solve(y)
  const refined = reflected.solve(residuals(scaled, first, y))
  const solution = first.map((v, j) => v + (refined[j] ?? NaN))
  const residualDeviation = norm(residuals(scaled, solution, y)) / Math.sqrt(y.length - columns.length)
  return {
    coefficients: solution.map((v, j) => v / (lengths[j] ?? NaN)),
    standardErrors: reflected.spread().map((v, j) => (residualDeviation * v) / (lengths[j] ?? NaN)),
    residualDeviation,
  }
}

interface Reflected {
  readonly solve: (y: readonly number[]) => number[]
  /** Root of the diagonal of the inverse of X'X. */
  readonly spread: () => number[]
}

function reflect(columns: readonly (readonly number[])[]): Reflected | null {
  const work = columns.map((c) => Array.from(c))
  const mirrors: (readonly number[])[] = []
  for (let k = 0; k < work.length; k++) {
    const column = work[k] ?? []
    const mirror = column.map((v, i) => (i < k ? 0 : v))
    const length = norm(mirror)
    if (!(length > GONE)) return null
    mirror[k] = (mirror[k] ?? 0) + ((column[k] ?? 0) < 0 ? -length : length)
    mirrors.push(mirror)
    for (let j = k; j < work.length; j++) mirrorIn(mirror, work[j] ?? [])
  }
  const solve = (y: readonly number[]): number[] => {
    const turned = Array.from(y)
    for (const mirror of mirrors) mirrorIn(mirror, turned)
    return backwards(work, turned)
  }
  return { solve, spread: () => spreadOf(work) }
}

function mirrorIn(mirror: readonly number[], vector: number[]): void {
  const factor = (2 * dot(mirror, vector)) / dot(mirror, mirror)
  for (let i = 0; i < vector.length; i++) vector[i] = (vector[i] ?? 0) - factor * (mirror[i] ?? 0)
}

function backwards(work: readonly (readonly number[])[], turned: readonly number[]): number[] {
  const p = work.length
  const x = new Array<number>(p).fill(0)
  for (let i = p - 1; i >= 0; i--) {
    let rest = turned[i] ?? NaN
    for (let k = i + 1; k < p; k++) rest -= (work[k]?.[i] ?? NaN) * (x[k] ?? NaN)
    x[i] = rest / (work[i]?.[i] ?? NaN)
  }
  return x
}

/** Rows of the inverse of R, whose lengths are asked for. */
function spreadOf(work: readonly (readonly number[])[]): number[] {
  const squares = work.map(() => 0)
  work.forEach((_, k) => {
    const unit = work.map((_w, i) => (i === k ? 1 : 0))
    backwards(work, unit).forEach((v, i) => (squares[i] = (squares[i] ?? 0) + v * v))
  })
  return squares.map(Math.sqrt)
}

function residuals(
  columns: readonly (readonly number[])[],
  x: readonly number[],
  y: readonly number[],
): number[] {
  return y.map((v, i) => columns.reduce((rest, c, j) => rest - (c[i] ?? NaN) * (x[j] ?? NaN), v))
}

function dot(a: readonly number[], b: readonly number[]): number {
  let total = 0
  for (let i = 0; i < a.length; i++) total += (a[i] ?? 0) * (b[i] ?? 0)
  return total
}

function norm(values: readonly number[]): number {
  return Math.sqrt(dot(values, values))
}
