import { mustAllBeFinite, mustBeCount } from './check.ts'
import { seededDraw, shuffle } from './random.ts'

/** How often, and from which seed, to shuffle. All orders are gone through instead where they are no more than `draws`. */
export interface Resampling {
  readonly draws: number
  readonly seed: number
}

export interface PermutationResult {
  /** Enumerated: the share of all orders that lie as far out. Drawn: (1 + as far) / (1 + draws), never 0. */
  readonly p: number
  readonly orders: number
  readonly enumerated: boolean
}

export interface MaxStatisticResult extends PermutationResult {
  /** For each statistic: how often the best of all of them, anywhere, lies as far out. */
  readonly pOfEach: readonly number[]
}

const SAME = 1e-9

/** Blocks that may be exchanged with each other: their numbers, in groups. Each number from 0 on stands in one group. */
export type Exchangeable = readonly (readonly number[])[]

/**
 * The permutation test over the order of blocks (Pitman 1937; p of drawn orders after Phipson and Smyth 2010): how far
 * out, to either side of its mean, is the statistic as it stands? Blocks are what may be exchanged when nothing goes
 * with anything, weeks for nights that hang together.
 *
 * @param statistic of an order: which block stands in the place of each; it must not keep the array.
 * @throws {RangeError} if `draws` is no count or 0, or the statistic is not finite.
 */
export function permutationTest(
  blocks: Exchangeable,
  statistic: (order: Uint16Array) => number,
  resampling: Resampling,
): PermutationResult {
  const { pOfEach, ...result } = maxStatisticTest(blocks, (order, into) => (into[0] = statistic(order)), {
    ...resampling,
    statistics: 1,
  })
  return { ...result, p: pOfEach[0] ?? 1 }
}

/**
 * As `permutationTest` for many statistics at once, of which the best will be chosen: each is measured in its own
 * deviations from its own mean, and held against the farthest of all of them in each order (Westfall and Young 1993,
 * single step). So the choice is paid for.
 *
 * @param fill writes the statistics of an order into the array.
 * @throws {RangeError} as `permutationTest`.
 */
export function maxStatisticTest(
  blocks: Exchangeable,
  fill: (order: Uint16Array, into: Float64Array) => void,
  { draws, seed, statistics }: Resampling & { readonly statistics: number },
): MaxStatisticResult {
  mustBeCount('draws', draws)
  if (draws === 0) throw new RangeError('draws must be above 0')
  const observed = new Float64Array(statistics)
  fill(asItStands(blocks), observed)
  mustAllBeFinite('statistic', Array.from(observed))
  const enumerated = blocks.reduce((n, group) => n * factorialUpTo(group.length, draws), 1) <= draws
  const orders: Float64Array[] = []
  const take = (order: Uint16Array): void => {
    const values = new Float64Array(statistics)
    fill(order, values)
    orders.push(values)
  }
  if (enumerated)
    forEachOrder({ groups: blocks.map((g) => Uint16Array.from(g)), blocks, order: asItStands(blocks) }, take)
  else drawOrders(blocks, { draws, seed }, take)
  return { ...judge(observed, orders, enumerated), orders: orders.length, enumerated }
}

/**
 * The sign test of Fisher 1935 on paired differences: of all ways to give each difference either sign, how many have a
 * sum as far from 0? All of them for up to 16 differences, drawn beyond.
 *
 * @throws {RangeError} if a difference is not finite, or `draws` is 0 or no count.
 */
export function signFlipTest(
  differences: readonly number[],
  { draws, seed }: Resampling,
): PermutationResult & { readonly pGreater: number } {
  mustAllBeFinite('differences', differences)
  mustBeCount('draws', draws)
  if (draws === 0) throw new RangeError('draws must be above 0')
  const enumerated = differences.length <= 16
  const orders = enumerated ? 2 ** differences.length : draws
  const draw = seededDraw(seed)
  const sum = differences.reduce((a, b) => a + b, 0)
  const slack = SAME * differences.reduce((a, b) => a + Math.abs(b), 0)
  let [asFar, asHigh] = [0, 0]
  for (let i = 0; i < orders; i++) {
    let other = 0
    differences.forEach((d, k) => (other += (enumerated ? (i >> k) & 1 : draw() < 0.5) ? -d : d))
    if (Math.abs(other) >= Math.abs(sum) - slack) asFar++
    if (other >= sum - slack) asHigh++
  }
  const extra = enumerated ? 0 : 1
  const p = (asFar + extra) / (orders + extra)
  return { p, pGreater: (asHigh + extra) / (orders + extra), orders, enumerated }
}

function judge(
  observed: Float64Array,
  orders: readonly Float64Array[],
  enumerated: boolean,
): { p: number; pOfEach: number[] } {
  const scales = Array.from(observed, (own, i) => scaleOf(own, orders, { at: i, enumerated }))
  const distance = (values: Float64Array, i: number): number => {
    const { mean, deviation } = scales[i] ?? { mean: 0, deviation: 0 }
    return deviation > 0 ? Math.abs((values[i] ?? NaN) - mean) / deviation : 0
  }
  const own = Array.from(observed, (_, i) => distance(observed, i))
  const asFar = own.map(() => 0)
  for (const values of orders) {
    let farthest = 0
    for (let i = 0; i < own.length; i++) farthest = Math.max(farthest, distance(values, i))
    own.forEach((d, i) => {
      if (farthest >= d - SAME) asFar[i] = (asFar[i] ?? 0) + 1
    })
  }
  const extra = enumerated ? 0 : 1
  const pOfEach = asFar.map((count) => (count + extra) / (orders.length + extra))
  return { p: pOfEach.reduce((a, b) => Math.min(a, b), 1), pOfEach }
}

/** Mean and deviation over the orders; drawn ones have the order as it stands among them, as their p has. */
function scaleOf(
  own: number,
  orders: readonly Float64Array[],
  { at, enumerated }: { readonly at: number; readonly enumerated: boolean },
): { mean: number; deviation: number } {
  const values = orders.map((o) => o[at] ?? NaN)
  if (!enumerated) values.push(own)
  const mean = values.reduce((a, b) => a + b, 0) / values.length
  const variance = values.reduce((a, v) => a + (v - mean) ** 2, 0) / values.length
  const size = Math.max(...[own, mean].map(Math.abs))
  // What is left of rounding is no deviation.
  return { mean, deviation: variance > (1e-10 * size) ** 2 ? Math.sqrt(variance) : 0 }
}

function asItStands(blocks: Exchangeable): Uint16Array {
  const count = blocks.reduce((n, group) => n + group.length, 0)
  return Uint16Array.from({ length: count }, (_, i) => i)
}

/** n!, or the first product of its making that is above `enough`. */
function factorialUpTo(n: number, enough: number): number {
  let product = 1
  for (let i = 2; i <= n && product <= enough; i++) product *= i
  return product
}

function drawOrders(
  blocks: Exchangeable,
  { draws, seed }: Resampling,
  take: (order: Uint16Array) => void,
): void {
  const draw = seededDraw(seed)
  const order = asItStands(blocks)
  const groups = blocks.map((group) => Uint16Array.from(group))
  for (let i = 0; i < draws; i++) {
    groups.forEach((group, g) => {
      shuffle(group, draw)
      blocks[g]?.forEach((place, k) => (order[place] = group[k] ?? 0))
    })
    take(order)
  }
}

interface Walk {
  readonly groups: readonly Uint16Array[]
  readonly blocks: Exchangeable
  readonly order: Uint16Array
}

/** All orders of the first group, and in each of them all of the next. */
function forEachOrder(
  walk: Walk,
  take: (order: Uint16Array) => void,
  { group: g, from }: { readonly group: number; readonly from: number } = { group: 0, from: 0 },
): void {
  const group = walk.groups[g]
  if (group === undefined) return take(walk.order)
  if (from >= group.length) {
    walk.blocks[g]?.forEach((place, k) => (walk.order[place] = group[k] ?? 0))
    return forEachOrder(walk, take, { group: g + 1, from: 0 })
  }
  for (let i = from; i < group.length; i++) {
    swap(group, from, i)
    forEachOrder(walk, take, { group: g, from: from + 1 })
    swap(group, from, i)
  }
}

function swap(order: Uint16Array, i: number, j: number): void {
  const kept = order[i] ?? 0
  order[i] = order[j] ?? 0
  order[j] = kept
}
