import { createInfluxReader } from '../../services/adapters/history-influx/create-influx-reader.ts'
import { createInfluxWriter } from '../../services/adapters/history-influx/create-influx-writer.ts'
import { selectFrom } from '../../services/adapters/history-influx/influxql.ts'
import { bucketWidthMs } from '../../services/web/routes/series.ts'
import { influxRows, startInflux } from '../parts/influx.ts'
import { waitFor } from '../parts/wait-for.ts'
import { EVERY_MS, medianMs, POINTS, YEAR_MS, yearOf } from './year-of-readings.ts'

const SITE = 'shop'
const AT_ONCE = 5_000

/** The same year in InfluxDB 1.6: how long until a chart has its points, how much of it at the server, and what a reading takes. */
export async function influxHistoryBench(sqliteMs: number) {
  const influx = await startInflux({ settleAtOnce: true })
  try {
    const writer = createInfluxWriter({ ...influx, timeoutMs: 60_000 })
    const count = YEAR_MS / EVERY_MS
    const startedMs = performance.now()
    for (let from = 0; from < count; from += AT_ONCE) {
      const readings = yearOf(from, Math.min(AT_ONCE, count - from))
      const place = { siteId: SITE, nodeId: 'room', subject: null, roomId: null }
      await writer.write(readings.map((reading) => ({ ...reading, ...place })))
    }
    const writtenPerS = count / ((performance.now() - startedMs) / 1000)
    await waitFor('its log to be merged', () => (influx.walBytes() < 1_000 ? true : null), 120_000)
    const bytes = influx.dataBytes() / count
    const reader = createInfluxReader({ ...influx, timeoutMs: 120_000 }, () => SITE)
    const bucketMs = bucketWidthMs(YEAR_MS, POINTS)
    const window = { sensorId: 'room/humidity', quantity: 'humidity' as const, fromMs: 0, toMs: YEAR_MS }
    const took: number[] = []
    let points = 0
    for (let i = 0; i < 5; i++) {
      const askedMs = performance.now()
      points = (await reader.series({ ...window, bucketMs })).length
      took.push(performance.now() - askedMs)
    }
    const influxMs = medianMs(took)
    const what = 'min("value"), mean("value"), max("value"), last("value")'
    const plan = await influxRows(
      influx,
      `EXPLAIN ANALYZE ${selectFrom(what, window, SITE)} GROUP BY time(${bucketMs}ms) fill(none)`,
    )
    const atServer =
      plan
        .flat()
        .map(String)
        .find((line) => line.includes('total_time'))
        ?.trim() ?? 'no plan'
    console.log(
      `history in InfluxDB 1.6: ${count} readings written at ${Math.round(writtenPerS)}/s, ${bytes.toFixed(1)} bytes a reading on disk; a year in ${points} points: ${influxMs.toFixed(0)} ms, at the server ${atServer}`,
    )
    return [
      {
        what: `a year of one series to ${points} points, charts/s, SQLite against InfluxDB 1.6`,
        ours: 1000 / sqliteMs,
        anchor: 1000 / influxMs,
        unit: '/s',
        aim: null,
      },
    ]
  } finally {
    await influx.close()
  }
}
