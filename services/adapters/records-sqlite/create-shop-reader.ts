import type { Database } from 'better-sqlite3'
import type { Disposal } from '../../core/model/disposal.ts'
import type { InputOf } from '../../core/model/input.ts'
import type { LogEntry } from '../../core/model/log-entry.ts'
import type { KeptSeries, MinuteRecord, ShopReader } from '../../core/model/ports/shop-files.ts'
import { ROLLUP_WIDTHS_MS } from './rollups.ts'

const [MINUTE_MS] = ROLLUP_WIDTHS_MS

/** A shop as files tell it, from a database that `openSnapshot` opened; closing it closes the database. */
export function createSqliteShopReader({ db }: { db: Database }): ShopReader {
  const settings = db.prepare<[], { json: string }>(
    `SELECT json FROM input WHERE type = 'settings' ORDER BY seq DESC LIMIT 1`,
  )
  const series = db.prepare<[], KeptSeries>(
    'SELECT sensor_id AS sensorId, quantity FROM series ORDER BY sensor_id, quantity',
  )
  const readings = db.prepare<[string, string, number, number], { atMs: number; value: number }>(
    `SELECT at_ms AS atMs, value FROM reading
     WHERE series = (SELECT id FROM series WHERE sensor_id = ? AND quantity = ?) AND at_ms >= ? AND at_ms < ? ORDER BY at_ms`,
  )
  const minutes = db.prepare<[string, string], Omit<MinuteRecord, 'sensorId' | 'quantity'>>(
    `SELECT at_ms AS atMs, n AS count, low AS min, sum, high AS max, last_ms AS lastMs, last FROM rollup r
     WHERE width_ms = ${MINUTE_MS} AND series = (SELECT id FROM series WHERE sensor_id = ? AND quantity = ?)
       AND n > (SELECT count(*) FROM reading g
                WHERE g.series = r.series AND g.at_ms >= r.at_ms AND g.at_ms < r.at_ms + ${MINUTE_MS})
     ORDER BY at_ms`,
  )
  const logEntries = db.prepare<[], { json: string }>('SELECT json FROM log_entry ORDER BY entry')
  const disposals = db.prepare<[], { json: string }>('SELECT json FROM disposal ORDER BY entry')
  return {
    settings: () => {
      const found = settings.get()
      return found ? (JSON.parse(found.json) as InputOf<'settings'>).settings : null
    },
    series: () => series.all(),
    readings: function* ({ sensorId, quantity }, { fromMs, toMs }) {
      for (const { atMs, value } of readings.iterate(sensorId, quantity, fromMs, toMs))
        yield { sensorId, quantity, atMs, value }
    },
    minutes: function* ({ sensorId, quantity }) {
      for (const minute of minutes.iterate(sensorId, quantity)) yield { sensorId, quantity, ...minute }
    },
    logEntries: function* () {
      for (const { json } of logEntries.iterate()) yield JSON.parse(json) as LogEntry
    },
    disposals: function* () {
      for (const { json } of disposals.iterate()) yield JSON.parse(json) as Disposal
    },
    close: () => void db.close(),
  }
}
