import type { Database } from 'better-sqlite3'
import type { Reading } from '../../core/model/input.ts'
import type { RecordsReader, SeriesPoint } from '../../core/model/ports/records.ts'
import type { Quantity } from '../../core/model/quantity.ts'
import { READING_COLUMNS, type ReadingRow } from './reading-rows.ts'
import { joinRollups, ROLLUP_WIDTHS_MS, stretchStartMs, type Rollup } from './rollups.ts'

interface Window {
  series: number
  fromMs: number
  toMs: number
  bucketMs: number
}

/** Questions about readings over time. One quantity at a time: %RH and watts have no common mean. */
export function createSeriesQueries(
  db: Database,
): Pick<RecordsReader, 'latestReadings' | 'series' | 'readingBefore' | 'readings'> {
  const latest = db.prepare<[], ReadingRow>(
    `SELECT ${READING_COLUMNS} FROM series s
     JOIN reading r ON r.series = s.id AND r.at_ms = (SELECT max(at_ms) FROM reading WHERE series = s.id)
     ORDER BY s.sensor_id, s.quantity`,
  )
  const before = db.prepare<[number, number], Reading>(
    `SELECT ${READING_COLUMNS} FROM reading r JOIN series s ON s.id = r.series
     WHERE r.series = ? AND r.at_ms < ? ORDER BY r.at_ms DESC LIMIT 1`,
  )
  // `%` works on whole numbers whatever is bound, and keeps the sign of what it divides: adding the width and taking it
  // again gives the start of the bucket on both sides of 1970. The last value of a bucket is looked up by key: one pass,
  // whatever the number of buckets.
  const buckets = db.prepare<Window, SeriesPoint>(
    `WITH bucket AS (
       SELECT at_ms - ((at_ms % @bucketMs) + @bucketMs) % @bucketMs AS start, min(value) AS low, avg(value) AS mean,
         max(value) AS high, max(at_ms) AS last_ms
       FROM reading WHERE series = @series AND at_ms >= @fromMs AND at_ms < @toMs GROUP BY start
     )
     SELECT b.start AS atMs, b.low AS min, b.mean AS mean, b.high AS max, r.value AS last
     FROM bucket b JOIN reading r ON r.series = @series AND r.at_ms = b.last_ms ORDER BY b.start`,
  )
  const page = db.prepare<[number, number, number, number], Reading>(
    `SELECT ${READING_COLUMNS} FROM reading r JOIN series s ON s.id = r.series
     WHERE r.series = ? AND r.at_ms >= ? AND r.at_ms < ? ORDER BY r.at_ms LIMIT ?`,
  )
  const seriesOf = createSeriesChoice(db)
  const rolledUp = createRollupQuery(db)
  const pointsOf = (window: Window): SeriesPoint[] => {
    const widthMs = ROLLUP_WIDTHS_MS.findLast((width) => window.bucketMs % width === 0)
    return widthMs === undefined ? buckets.all(window) : rolledUp(window, widthMs)
  }
  return {
    latestReadings: () => latest.all(),
    readingBefore: ({ sensorId, quantity, atMs }) => {
      const series = seriesOf(sensorId, quantity)
      return series === null ? null : (before.get(series, atMs) ?? null)
    },
    readings: ({ sensorId, quantity, fromMs, toMs, limit }) => {
      const series = seriesOf(sensorId, quantity)
      return series === null ? [] : page.all(series, fromMs, toMs, limit)
    },
    series: ({ sensorId, quantity, ...window }) => {
      const series = seriesOf(sensorId, quantity)
      return series === null
        ? []
        : pointsOf({ series, ...window, bucketMs: Math.max(1, Math.floor(window.bucketMs)) })
    },
  }
}

/**
 * Buckets out of records: whole stretches from those of the widest width that divides the bucket, and what of the window
 * begins or ends within a stretch from raw readings.
 */
function createRollupQuery(db: Database): (window: Window, widthMs: number) => SeriesPoint[] {
  const parts = db.prepare<Window & { widthMs: number; firstMs: number; endMs: number }, Rollup>(
    `SELECT at_ms AS atMs, 1 AS n, value AS low, value AS sum, value AS high, at_ms AS lastMs, value AS last
       FROM reading WHERE series = @series AND at_ms >= @fromMs AND at_ms < min(@firstMs, @toMs)
     UNION ALL SELECT at_ms, n, low, sum, high, last_ms, last
       FROM rollup WHERE width_ms = @widthMs AND series = @series AND at_ms >= @firstMs AND at_ms < @endMs
     UNION ALL SELECT at_ms, 1, value, value, value, at_ms, value
       FROM reading WHERE series = @series AND at_ms >= max(@firstMs, @endMs) AND at_ms < @toMs`,
  )
  // Counted within SQLite, three times as fast; the last value of a bucket is that of its last record.
  const whole = db.prepare<Window & { widthMs: number }, SeriesPoint>(
    `WITH bucket AS (
       SELECT at_ms - ((at_ms % @bucketMs) + @bucketMs) % @bucketMs AS start, sum(n) AS n, min(low) AS low,
         sum(sum) AS sum, max(high) AS high, max(at_ms) AS last_at
       FROM rollup WHERE width_ms = @widthMs AND series = @series AND at_ms >= @fromMs AND at_ms < @toMs GROUP BY start
     )
     SELECT b.start AS atMs, b.low AS min, b.sum / b.n AS mean, b.high AS max, r.last AS last
     FROM bucket b JOIN rollup r ON r.width_ms = @widthMs AND r.series = @series AND r.at_ms = b.last_at
     ORDER BY b.start`,
  )
  return (window, widthMs) => {
    const firstMs = -stretchStartMs(-window.fromMs, widthMs)
    const endMs = stretchStartMs(window.toMs, widthMs)
    if (firstMs === window.fromMs && endMs === window.toMs) return whole.all({ ...window, widthMs })
    const found: Rollup[] = []
    for (const part of parts.iterate({ ...window, widthMs, firstMs, endMs })) {
      const atMs = stretchStartMs(part.atMs, window.bucketMs)
      const before = found.at(-1)
      if (before?.atMs === atMs) found[found.length - 1] = joinRollups(before, part, atMs)
      else found.push({ ...part, atMs })
    }
    return found.map((r) => ({ atMs: r.atMs, min: r.low, mean: r.sum / r.n, max: r.high, last: r.last }))
  }
}

/** The series of the quantity asked for; else of the quantity the sensor measured last. */
function createSeriesChoice(db: Database): (sensorId: string, quantity?: Quantity) => number | null {
  const named = db.prepare<[string, string], { id: number }>(
    'SELECT id FROM series WHERE sensor_id = ? AND quantity = ?',
  )
  const newest = db.prepare<[string], { id: number }>(
    `SELECT id FROM series WHERE sensor_id = ?
     ORDER BY (SELECT max(at_ms) FROM reading WHERE series = series.id) DESC, id DESC LIMIT 1`,
  )
  return (sensorId, quantity) =>
    (quantity === undefined ? newest.get(sensorId) : named.get(sensorId, quantity))?.id ?? null
}
