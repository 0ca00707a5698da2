import {
  refuseBadHistoryQuery,
  type HistoryReader,
  type HistoryWindow,
} from '../../core/model/ports/history.ts'
import type { SeriesPoint } from '../../core/model/ports/records.ts'
import type { InfluxParts } from './create-influx-writer.ts'
import { createInfluxQuery, type InfluxQuery } from './influx-query.ts'
import { selectFrom } from './influxql.ts'

/** Buckets asked for in one request, so that neither side holds a long answer in memory. */
const BUCKETS_AT_ONCE = 10_000

/**
 * Reads what `createInfluxWriter` wrote, by InfluxQL. `siteId` is asked at each question, since two shops may share a
 * bucket and a shop may be renamed.
 */
export function createInfluxReader(parts: InfluxParts, siteId: () => string): HistoryReader {
  const ask = createInfluxQuery(parts)
  return {
    series: async ({ bucketMs, ...window }) => {
      refuseBadHistoryQuery({ ...window, bucketMs })
      const points: SeriesPoint[] = []
      for (const part of partsOf(window, bucketMs))
        points.push(...(await pointsOf(ask, part, { bucketMs, siteId: siteId() })))
      return points
    },
    totals: async (window) => {
      refuseBadHistoryQuery(window)
      const one = async (what: string): Promise<readonly number[] | undefined> =>
        (await ask(selectFrom(what, window, siteId()))).rows[0]
      const [totals, first, last] = await Promise.all([
        one('count("value"), sum("value")'),
        one('first("value")'),
        one('last("value")'),
      ])
      const [, count, sum] = totals ?? []
      const [[firstMs] = [], [lastMs] = []] = [first, last]
      return count === undefined || sum === undefined || firstMs === undefined || lastMs === undefined
        ? null
        : { count, sum, firstMs, lastMs }
    },
  }
}

/** The window in parts that meet where a bucket begins. */
function* partsOf(window: HistoryWindow, bucketMs: number): Iterable<HistoryWindow> {
  for (let { fromMs } = window; fromMs < window.toMs;) {
    const endMs = (Math.floor(fromMs / bucketMs) + BUCKETS_AT_ONCE) * bucketMs
    const toMs = Math.min(endMs, window.toMs)
    yield { ...window, fromMs, toMs }
    fromMs = toMs
  }
}

/** A store that is set to give fewer rows at once says so; then each half is asked for by itself. */
async function pointsOf(
  ask: InfluxQuery,
  window: HistoryWindow,
  { bucketMs, siteId }: { bucketMs: number; siteId: string },
): Promise<SeriesPoint[]> {
  const what = 'min("value"), mean("value"), max("value"), last("value")'
  const text = `${selectFrom(what, window, siteId)} GROUP BY time(${bucketMs}ms) fill(none)`
  const { rows, partial } = await ask(text)
  const middleMs = Math.floor((window.fromMs + window.toMs) / 2 / bucketMs) * bucketMs
  if (partial && middleMs > window.fromMs) {
    const halves = [
      { ...window, toMs: middleMs },
      { ...window, fromMs: middleMs },
    ]
    const points: SeriesPoint[] = []
    for (const half of halves) points.push(...(await pointsOf(ask, half, { bucketMs, siteId })))
    return points
  }
  return rows.map(([atMs = NaN, min = NaN, mean = NaN, max = NaN, last = NaN]) => ({
    atMs,
    min,
    mean,
    max,
    last,
  }))
}
