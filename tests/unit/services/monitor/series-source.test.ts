import { describe, expect, it } from 'vitest'
import { HistoryUnreachableError } from '../../../../services/core/model/ports/history.ts'
import { createSeriesSource, type SeriesSourceParts } from '../../../../services/monitor/series-source.ts'
import { createMemoryHistory } from '../../../parts/memory-history-reader.ts'

const HOUR = 3_600_000
const NOW = 1_000 * HOUR
const KEPT = 500 * HOUR
const ask = (fromMs: number, bucketMs: number, toMs = NOW) => ({
  sensorId: 'room-a/humidity',
  quantity: 'humidity' as const,
  fromMs,
  toMs,
  bucketMs,
})

/** Two stores that hold a reading an hour: the book of value 1 and only what it keeps, the other of 2. */
async function source(change: Partial<SeriesSourceParts> = {}) {
  const [book, influx] = [createMemoryHistory(), createMemoryHistory()]
  const reading = (hour: number, value: number) => ({
    sensorId: 'room-a/humidity',
    quantity: 'humidity' as const,
    atMs: hour * HOUR,
    value,
    siteId: 'quayside',
    nodeId: 'room-a',
    subject: null,
    roomId: null,
  })
  await influx.write(Array.from({ length: 1_000 }, (_, hour) => reading(hour, 2)))
  await book.write(Array.from({ length: 500 }, (_, hour) => reading(hour + 500, 1)))
  const lines: object[] = []
  const parts: SeriesSourceParts = {
    book: book.reader,
    influx: influx.reader,
    prefer: 'book',
    keptMs: KEPT,
    waiting: () => 0,
    nowMs: () => NOW,
    log: { warn: (line: object) => void lines.push(line) },
    ...change,
  }
  return { ...createSeriesSource(parts), cut: influx.cut, lines }
}
const valuesOf = (points: readonly { last: number }[]) => [...new Set(points.map((p) => p.last))]

describe('where a series comes from', () => {
  it('FROM-1 the book tells what it keeps, and minutes for good', async () => {
    const { series } = await source()
    expect(await series(ask(NOW - KEPT, 15_000))).toMatchObject({ from: 'book', note: null })
    expect(await series(ask(0, 60_000))).toMatchObject({ from: 'book', note: null })
  })
  it('FROM-1 single readings older than it keeps come from the second store, where there is one that has them', async () => {
    const query = ask(10 * HOUR, 15_000, 12 * HOUR)
    const told = await (await source()).series(query)
    expect([told.from, told.points.length, valuesOf(told.points)]).toEqual(['influx', 2, [2]])
    expect(await (await source({ influx: null })).series(query)).toEqual({
      points: [],
      from: 'book',
      note: null,
    })
    const empty = await source({ influx: createMemoryHistory().reader })
    expect(await empty.series(query)).toEqual({ points: [], from: 'book', note: null })
  })
  it('FROM-2 preferred, it tells all but the last hour, each bucket once', async () => {
    const { points, from } = await (await source({ prefer: 'influx' })).series(ask(990 * HOUR, HOUR))
    expect(from).toBe('influx')
    expect(points.map((p) => [p.atMs / HOUR, p.last])).toEqual(
      Array.from({ length: 10 }, (_, i) => [990 + i, i < 9 ? 2 : 1]),
    )
  })
  it('FROM-2 while many wait to be handed on the book tells, and says why', async () => {
    const { series } = await source({ prefer: 'influx', waiting: () => 5_000 })
    expect(await series(ask(990 * HOUR, HOUR))).toMatchObject({
      from: 'book',
      note: expect.stringMatching(/5000 readings still wait/) as string,
    })
  })
  it('FROM-3 a store that does not answer is said so, logged, and the book tells what it has', async () => {
    const { series, cut, lines } = await source({ prefer: 'influx' })
    await cut?.(true)
    const told = await series(ask(990 * HOUR, HOUR))
    expect(told).toMatchObject({
      from: 'book',
      note: expect.stringMatching(/cannot be reached.*This is what is kept here/) as string,
    })
    expect([told.points.length, lines.length]).toEqual([10, 1])
    await cut?.(false)
    expect(await series(ask(990 * HOUR, HOUR))).toMatchObject({ from: 'influx', note: null })
  })
  it('a question that is wrong in itself is the same wrong question to the book', async () => {
    const { series } = await source({ prefer: 'influx' })
    await expect(series(ask(NOW, 0))).rejects.not.toBeInstanceOf(HistoryUnreachableError)
  })
})
