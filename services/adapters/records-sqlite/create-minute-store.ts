import type { Database } from 'better-sqlite3'
import type { MinuteStore } from '../../core/model/ports/shop-files.ts'
import { ROLLUP_WIDTHS_MS, stretchStartMs } from './rollups.ts'
import { createSeriesIds } from './series-ids.ts'

interface Held {
  n: number
  sum: number
}

/** Records of minutes that come in by themselves, without the readings that they once were made of. */
export function createSqliteMinuteStore({ db }: { db: Database }): MinuteStore {
  const [minuteMs] = ROLLUP_WIDTHS_MS
  const ids = createSeriesIds(db)
  const held = db.prepare<[number, number], Held>(
    `SELECT n, sum FROM rollup WHERE width_ms = ${minuteMs} AND series = ? AND at_ms = ?`,
  )
  const add = db.prepare<[number, number, number, number, number, number, number, number, number]>(
    `INSERT INTO rollup (width_ms, series, at_ms, n, low, sum, high, last_ms, last) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)
     ON CONFLICT (width_ms, series, at_ms) DO UPDATE SET n = n + excluded.n, low = min(low, excluded.low),
       sum = sum + excluded.sum, high = max(high, excluded.high),
       last = iif(excluded.last_ms >= last_ms, excluded.last, last), last_ms = max(last_ms, excluded.last_ms)`,
  )
  const place = db.prepare<[number, number, number]>(
    `UPDATE rollup SET sum = ? WHERE width_ms = ${minuteMs} AND series = ? AND at_ms = ?`,
  )
  return {
    takeMinutes: (records) => {
      ids.forget()
      let taken = 0
      for (const { sensorId, quantity, atMs, count, min, sum, max, lastMs, last } of records) {
        const series = ids.make(sensorId, quantity)
        const before: Held = held.get(series, atMs) ?? { n: 0, sum: 0 }
        if (count <= before.n) continue
        for (const widthMs of ROLLUP_WIDTHS_MS) {
          const startMs = stretchStartMs(atMs, widthMs)
          add.run(widthMs, series, startMs, count - before.n, min, sum - before.sum, max, lastMs, last)
        }
        // The minute itself to the last bit: a difference added up again may miss it.
        place.run(sum, series, atMs)
        taken++
      }
      return taken
    },
  }
}
