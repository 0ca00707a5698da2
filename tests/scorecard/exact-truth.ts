import { fisherExact } from '../../services/core/statistics/two-by-two.ts'

export interface ExactScore {
  /** The largest share of false findings over all pairs of group sizes and shares. */
  readonly largestSize: number
  readonly largestMidPSize: number
  /** The smallest coverage over all pairs, shares and odds ratios. */
  readonly leastCoverage: number
  readonly leastMidPCoverage: number
  readonly cases: number
}

const ALPHA = 0.05
const SHARES = [0.02, 0.05, 0.1, 0.2, 0.3, 0.5]
const RATIOS = [0.1, 0.3, 0.5, 1, 2, 4, 10]

/**
 * Every table that groups of these sizes can give, weighed with how probable it is: nothing is drawn, so the figures
 * are exact. Size: p at or below 5 % where both groups have the same share. Coverage: the true ratio lies within.
 */
export function scoreExact(sizes: readonly (readonly [number, number])[]): ExactScore {
  let [largestSize, largestMidPSize, leastCoverage, leastMidPCoverage, cases] = [0, 0, 1, 1, 0]
  for (const [n1, n2] of sizes) {
    const tables = allTables(n1, n2)
    for (const share of SHARES) {
      for (const ratio of RATIOS) {
        const exposedShare = (share * ratio) / (1 - share + share * ratio)
        const odds = { n1, n2, exposedShare, share }
        const chance = (f: (t: TestedTable) => boolean): number =>
          tables.reduce((sum, t) => sum + (f(t) ? tableChance(t, odds) : 0), 0)
        cases++
        leastCoverage = Math.min(
          leastCoverage,
          chance((t) => t.low <= ratio && ratio <= t.high),
        )
        leastMidPCoverage = Math.min(
          leastMidPCoverage,
          chance((t) => t.midLow <= ratio && ratio <= t.midHigh),
        )
        if (ratio !== 1) continue
        largestSize = Math.max(
          largestSize,
          chance((t) => t.p <= ALPHA),
        )
        largestMidPSize = Math.max(
          largestMidPSize,
          chance((t) => t.midP <= ALPHA),
        )
      }
    }
  }
  return { largestSize, largestMidPSize, leastCoverage, leastMidPCoverage, cases }
}

interface TestedTable {
  readonly a: number
  readonly c: number
  readonly p: number
  readonly midP: number
  readonly low: number
  readonly high: number
  readonly midLow: number
  readonly midHigh: number
}

function allTables(n1: number, n2: number): TestedTable[] {
  return Array.from({ length: (n1 + 1) * (n2 + 1) }, (_, i) => {
    const [a, c] = [i % (n1 + 1), Math.floor(i / (n1 + 1))]
    const { pTwoSided, midPTwoSided, interval, midPInterval } = fisherExact(
      { exposedHits: a, exposedMisses: n1 - a, restHits: c, restMisses: n2 - c },
      1 - ALPHA,
    )
    const [low, high, midLow, midHigh] = [interval.low, interval.high, midPInterval.low, midPInterval.high]
    return { a, c, p: pTwoSided, midP: midPTwoSided, low, high, midLow, midHigh }
  })
}

interface TwoShares {
  readonly n1: number
  readonly n2: number
  readonly exposedShare: number
  readonly share: number
}

function tableChance({ a, c }: TestedTable, { n1, n2, exposedShare, share }: TwoShares): number {
  return binomial(a, n1, exposedShare) * binomial(c, n2, share)
}

function binomial(k: number, n: number, share: number): number {
  let chance = share ** k * (1 - share) ** (n - k)
  for (let i = 0; i < k; i++) chance *= (n - i) / (i + 1)
  return chance
}
