/**
 * The value that a further one, like those given, stays below with probability `p`: the order statistic at p (n + 1),
 * interpolated (Weibull 1939; type 6 of Hyndman and Fan 1996). A new value of the same kind falls below the k-th of n
 * with probability k / (n + 1), so an interval of these has the cover that it says; quantiles that describe the sample
 * alone (simple-statistics has one such) would be too narrow for 28 values. Below 1 / (n + 1) it is the least, above
 * n / (n + 1) the greatest. `Infinity` may stand among the values; a quantile that touches it is Infinity.
 *
 * @param sorted ascending, not empty, no NaN
 * @example quantile([1, 2, 3, 4], 0.5) // 2.5
 * @throws {RangeError} if `sorted` is empty, ends in NaN, or `p` is outside 0 to 1.
 */
export function quantile(sorted: ArrayLike<number>, p: number): number {
  if (!(p >= 0 && p <= 1)) throw new RangeError(`p must be 0 to 1, got ${p}`)
  const least = sorted[0] ?? NaN
  const greatest = sorted[sorted.length - 1] ?? NaN
  if (!(least <= greatest)) throw new RangeError('quantile needs at least one value, sorted, and no NaN')
  const position = p * (sorted.length + 1) - 1
  if (position <= 0) return least
  if (position >= sorted.length - 1) return greatest
  const below = Math.floor(position)
  const low = sorted[below] ?? least
  const part = position - below
  if (part === 0) return low
  const high = sorted[below + 1] ?? greatest
  return high === Infinity ? Infinity : low + part * (high - low)
}

/**
 * Probability of what `count` of `total` replays show, 0 to 1 without the ends: (k + 0.5) / (n + 1), so that 28 quiet
 * nights are no proof that the next is quiet.
 */
export function probabilityOf(count: number, total: number): number {
  return (count + 0.5) / (total + 1)
}

/** A time on the grid, and the values below which 10, 50 and 90 % of the replays stay. */
export type BandPoint = [atMs: number, p10: number, p50: number, p90: number]

/** The band of many lines over one grid. A single line has no width: its three values are the same. */
export function bandOf(atMs: readonly number[], lines: readonly ArrayLike<number>[]): BandPoint[] {
  const column = new Float64Array(lines.length)
  return atMs.map((at, i) => {
    for (let k = 0; k < lines.length; k++) column[k] = lines[k]?.[i] ?? NaN
    column.sort()
    return [at, quantile(column, 0.1), quantile(column, 0.5), quantile(column, 0.9)]
  })
}
