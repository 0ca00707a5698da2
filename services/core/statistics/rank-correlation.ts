import { mustAllBeFinite, mustMatch } from './check.ts'

export interface RankCorrelation {
  /** Spearman's rho, -1 to 1; 0 where one side has no order at all. */
  readonly rho: number
  readonly pTwoSided: number
  /** That chance gives as strong a rise together, or more. */
  readonly pGreater: number
}

const MOST_VALUES = 10
const SAME = 1e-9

/**
 * Spearman's rank correlation with its exact distribution: all orders of one side against the other. Ties share their
 * middle rank and are counted as they stand.
 *
 * @throws {RangeError} if the lists differ in length, hold fewer than 2 or more than 10 values (10 have 3.6 million
 *         orders), or a value is not finite.
 */
export function spearmanExact(x: readonly number[], y: readonly number[]): RankCorrelation {
  mustMatch('x and y', x.length, y.length)
  mustAllBeFinite('x', x)
  mustAllBeFinite('y', y)
  if (x.length < 2 || x.length > MOST_VALUES) {
    throw new RangeError(`x must hold 2 to ${MOST_VALUES} values, got ${x.length}`)
  }
  const a = centred(midRanks(x))
  const b = centred(midRanks(y))
  const scale = Math.sqrt(dot(a, a) * dot(b, b))
  if (scale === 0) return { rho: 0, pTwoSided: 1, pGreater: 1 }
  const observed = dot(a, b)
  let [orders, asHigh, asFar] = [0, 0, 0]
  forEachOrder(b, (order) => {
    const product = dot(a, order)
    orders++
    if (product >= observed - SAME) asHigh++
    if (Math.abs(product) >= Math.abs(observed) - SAME) asFar++
  })
  return { rho: observed / scale, pTwoSided: asFar / orders, pGreater: asHigh / orders }
}

/**
 * The rank of each value, from 1; equal values share the middle of their ranks.
 *
 * @throws {RangeError} if a value is not finite.
 */
export function midRanks(values: readonly number[]): number[] {
  mustAllBeFinite('values', values)
  const order = values.map((_, i) => i).sort((i, j) => (values[i] ?? 0) - (values[j] ?? 0))
  const ranks = new Array<number>(values.length).fill(0)
  for (let from = 0; from < order.length;) {
    const value = values[order[from] ?? 0]
    let to = from
    while (to + 1 < order.length && values[order[to + 1] ?? 0] === value) to++
    for (let i = from; i <= to; i++) ranks[order[i] ?? 0] = (from + to) / 2 + 1
    from = to + 1
  }
  return ranks
}

function centred(values: readonly number[]): number[] {
  const mean = values.reduce((a, b) => a + b, 0) / values.length
  return values.map((v) => v - mean)
}

function dot(a: readonly number[], b: readonly number[]): number {
  let total = 0
  for (let i = 0; i < a.length; i++) total += (a[i] ?? 0) * (b[i] ?? 0)
  return total
}

/** Heap's way of going through all orders, each one swap away from the last. */
function forEachOrder(values: readonly number[], visit: (order: readonly number[]) => void): void {
  const order = Array.from(values)
  const turns = new Array<number>(order.length).fill(0)
  visit(order)
  for (let i = 1; i < order.length;) {
    const turn = turns[i] ?? 0
    if (turn >= i) {
      turns[i++] = 0
      continue
    }
    const j = i % 2 === 0 ? 0 : turn
    const kept = order[j] ?? 0
    order[j] = order[i] ?? 0
    order[i] = kept
    visit(order)
    turns[i] = turn + 1
    i = 1
  }
}
