import type { Database } from 'better-sqlite3'
import type { Reading } from '../../core/model/input.ts'

/** Widths of the records kept beside raw readings, in ms, narrowest first. Each divides the next. */
export const ROLLUP_WIDTHS_MS = [60_000, 3_600_000, 86_400_000] as const

/** What a stretch of readings comes to. Two of them add up to what both stretches together come to. */
export interface Rollup {
  readonly atMs: number
  readonly n: number
  readonly low: number
  readonly sum: number
  readonly high: number
  readonly lastMs: number
  readonly last: number
}

export interface RollupTable {
  /** Adds readings that were not held before, late ones too, to the records of every width. */
  readonly add: (readings: readonly Reading[], seriesOf: (reading: Reading) => number) => void
}

export function rollupOf({ atMs, value }: Pick<Reading, 'atMs' | 'value'>): Rollup {
  return { atMs, n: 1, low: value, sum: value, high: value, lastMs: atMs, last: value }
}

/** Two stretches as one, which begins where it is said to. */
export function joinRollups(a: Rollup, b: Rollup, atMs: number): Rollup {
  const newer = b.lastMs >= a.lastMs ? b : a
  return {
    atMs,
    n: a.n + b.n,
    low: Math.min(a.low, b.low),
    sum: a.sum + b.sum,
    high: Math.max(a.high, b.high),
    lastMs: newer.lastMs,
    last: newer.last,
  }
}

/** Start of the stretch of this width that holds a time, on both sides of 1970. */
export function stretchStartMs(atMs: number, widthMs: number): number {
  return Math.floor(atMs / widthMs) * widthMs
}

/**
 * Records of a minute, an hour and a day.
 *
 * ROLLUP-1 they give what the readings would have given, late ones too.
 * ROLLUP-2 they stay when the raw readings have gone.
 * ROLLUP-3 they are written in the transaction that brings their readings, so they are never behind and never ahead.
 */
export function createRollupTable(db: Database): RollupTable {
  const upsert = db.prepare<[number, number, number, number, number, number, number, number, number]>(
    `INSERT INTO rollup (width_ms, series, at_ms, n, low, sum, high, last_ms, last) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)
     ON CONFLICT (width_ms, series, at_ms) DO UPDATE SET n = n + excluded.n, low = min(low, excluded.low),
       sum = sum + excluded.sum, high = max(high, excluded.high),
       last = iif(excluded.last_ms >= last_ms, excluded.last, last), last_ms = max(last_ms, excluded.last_ms)`,
  )
  return {
    add: (readings, seriesOf) => {
      for (const [widthMs, series, r] of stretchesOf(readings, seriesOf)) {
        upsert.run(widthMs, series, r.atMs, r.n, r.low, r.sum, r.high, r.lastMs, r.last)
      }
    },
  }
}

/** A pack's readings by width, series and stretch, so that a full pack costs a few writes and not one a reading. */
function stretchesOf(
  readings: readonly Reading[],
  seriesOf: (reading: Reading) => number,
): Iterable<readonly [number, number, Rollup]> {
  const stretches = new Map<string, readonly [number, number, Rollup]>()
  for (const reading of readings) {
    const series = seriesOf(reading)
    for (const widthMs of ROLLUP_WIDTHS_MS) {
      const atMs = stretchStartMs(reading.atMs, widthMs)
      const key = `${widthMs}|${series}|${atMs}`
      const known = stretches.get(key)
      const own = rollupOf(reading)
      stretches.set(key, [widthMs, series, known ? joinRollups(known[2], own, atMs) : { ...own, atMs }])
    }
  }
  return stretches.values()
}
