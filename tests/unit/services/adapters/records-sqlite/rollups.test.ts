import fc from 'fast-check'
import { afterAll, describe, expect, it } from 'vitest'
import type { Reading } from '../../../../../services/core/model/input.ts'
import type { SeriesPoint } from '../../../../../services/core/model/ports/records.ts'
import { createSqliteBench, type SqliteRecords } from '../../../../parts/sqlite-records.ts'

const bench = createSqliteBench()
afterAll(() => bench.closeAll())

const MIN = 60_000
const WIDTHS_MS = [MIN, 5 * MIN, 60 * MIN, 6 * 60 * MIN, 24 * 60 * MIN, 48 * 60 * MIN]
const sensorId = 'room/humidity'

function append({ book }: SqliteRecords, readings: readonly Reading[]): void {
  book.transaction(() => {
    const { fresh } = book.sortReadings(readings)
    const stamp = { atMs: 0, receivedMs: 0 }
    book.appendInput({
      type: 'readings',
      ...stamp,
      seq: book.lastSeq() + 1,
      nodeId: 'room',
      readings: [...fresh],
    })
  })
}

/** The same question answered from all readings, bucket by bucket. */
function byHand(
  readings: readonly Reading[],
  { fromMs, toMs, bucketMs }: { fromMs: number; toMs: number; bucketMs: number },
): SeriesPoint[] {
  const buckets = new Map<number, Reading[]>()
  const inside = readings.filter((r) => r.atMs >= fromMs && r.atMs < toMs).sort((a, b) => a.atMs - b.atMs)
  for (const r of inside) {
    const start = Math.floor(r.atMs / bucketMs) * bucketMs
    buckets.set(start, [...(buckets.get(start) ?? []), r])
  }
  return [...buckets].map(([atMs, held]) => {
    const values = held.map((r) => r.value)
    return {
      atMs,
      min: Math.min(...values),
      mean: values.reduce((a, b) => a + b, 0) / values.length,
      max: Math.max(...values),
      last: values.at(-1) ?? NaN,
    }
  })
}

const timeMs = fc.integer({ min: -2 * 86_400_000, max: 2 * 86_400_000 })
/** Eighths add up exactly, so that a mean does not depend on the order of adding. */
const reading = fc
  .record({ atMs: timeMs, eighths: fc.integer({ min: 0, max: 800 }) })
  .map(({ atMs, eighths }): Reading => ({ sensorId, quantity: 'humidity', atMs, value: eighths / 8 }))
const packs = fc.array(fc.array(reading, { maxLength: 12 }), { minLength: 1, maxLength: 6 })
const window = fc.record({ a: timeMs, b: timeMs, bucketMs: fc.constantFrom(...WIDTHS_MS) })

describe('records of minutes, hours and days', () => {
  it('ROLLUP-1 give what all readings give, in any order of arrival and for any window', () => {
    const reached = { late: 0, edge: 0, whole: 0, empty: 0 }
    fc.assert(
      fc.property(packs, fc.array(window, { minLength: 4, maxLength: 4 }), (given, windows) => {
        const records = bench.open()
        const held = new Map<number, Reading>()
        for (const pack of given) {
          if (pack.some((r) => held.size > 0 && r.atMs < Math.max(...held.keys()))) reached.late++
          append(records, pack)
          for (const r of pack) if (!held.has(r.atMs)) held.set(r.atMs, r)
        }
        for (const { a, b, bucketMs } of windows) {
          const query = { fromMs: Math.min(a, b), toMs: Math.max(a, b), bucketMs }
          const expected = byHand([...held.values()], query)
          expect(records.reader.series({ sensorId, ...query })).toEqual(expected)
          if (expected.length === 0) reached.empty++
          else if (expected.some((p) => p.atMs < query.fromMs)) reached.edge++
          else reached.whole++
        }
      }),
      { numRuns: 60 },
    )
    for (const [what, times] of Object.entries(reached)) expect([what, times > 5]).toEqual([what, true])
  })

  it('ROLLUP-2 outlive their readings', () => {
    const records = bench.open()
    append(records, [
      { sensorId, quantity: 'humidity', atMs: 1_000, value: 40 },
      { sensorId, quantity: 'humidity', atMs: 2_000, value: 42 },
    ])
    const query = { sensorId, fromMs: 0, toMs: MIN, bucketMs: MIN }
    const before = records.reader.series(query)
    records.book.transaction(() => records.book.pruneReadings(MIN))
    expect(before).toEqual([{ atMs: 0, min: 40, mean: 41, max: 42, last: 42 }])
    expect(records.reader.series(query)).toEqual(before)
  })

  it('ROLLUP-3 a transaction that fails leaves none of them', () => {
    const records = bench.open()
    const failing = (): void =>
      records.book.transaction(() => {
        append(records, [{ sensorId, quantity: 'humidity', atMs: 1_000, value: 40 }])
        throw new Error('the disk is full')
      })
    expect(failing).toThrow(/full/)
    expect(records.reader.series({ sensorId, fromMs: 0, toMs: MIN, bucketMs: MIN })).toEqual([])
  })
})
