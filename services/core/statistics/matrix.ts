/** A symmetric positive definite matrix taken apart, or null where it is none (or so near to it that digits are gone). */
export interface Cholesky {
  readonly logDeterminant: number
  readonly solve: (right: readonly number[]) => number[]
  readonly inverse: () => number[][]
}

/** What is left of a pivot when its column is a sum of the others, but for rounding. */
const GONE = 1e-12

/** Cholesky's decomposition (Golub and Van Loan, Matrix Computations, 4.2). Of no rows the determinant is 1. */
export function cholesky(matrix: readonly (readonly number[])[]): Cholesky | null {
  const n = matrix.length
  const lower = matrix.map((row) => row.map(() => 0))
  let logDeterminant = 0
  for (let j = 0; j < n; j++) {
    const pivot = cell(matrix, j, j) - partial(lower, { i: j, j, upTo: j })
    if (!(pivot > GONE * Math.abs(cell(matrix, j, j)))) return null
    const root = Math.sqrt(pivot)
    logDeterminant += 2 * Math.log(root)
    set(lower, { i: j, j, value: root })
    for (let i = j + 1; i < n; i++) {
      set(lower, { i, j, value: (cell(matrix, i, j) - partial(lower, { i, j, upTo: j })) / root })
    }
  }
  const solve = (right: readonly number[]): number[] => solveLower(lower, right)
  return {
    logDeterminant,
    solve,
    inverse: () => matrix.map((_, k) => solve(matrix.map((_row, i) => (i === k ? 1 : 0)))),
  }
}

function solveLower(lower: readonly (readonly number[])[], right: readonly number[]): number[] {
  const n = lower.length
  const x = Array.from(right)
  for (let i = 0; i < n; i++) {
    let rest = x[i] ?? NaN
    for (let k = 0; k < i; k++) rest -= cell(lower, i, k) * (x[k] ?? NaN)
    x[i] = rest / cell(lower, i, i)
  }
  for (let i = n - 1; i >= 0; i--) {
    let rest = x[i] ?? NaN
    for (let k = i + 1; k < n; k++) rest -= cell(lower, k, i) * (x[k] ?? NaN)
    x[i] = rest / cell(lower, i, i)
  }
  return x
}

function partial(
  lower: readonly (readonly number[])[],
  { i, j, upTo }: { readonly i: number; readonly j: number; readonly upTo: number },
): number {
  let total = 0
  for (let k = 0; k < upTo; k++) total += cell(lower, i, k) * cell(lower, j, k)
  return total
}

function cell(matrix: readonly (readonly number[])[], i: number, j: number): number {
  return matrix[i]?.[j] ?? NaN
}

function set(
  matrix: readonly number[][],
  { i, j, value }: { readonly i: number; readonly j: number; readonly value: number },
): void {
  const row = matrix[i]
  if (row !== undefined) row[j] = value
}
