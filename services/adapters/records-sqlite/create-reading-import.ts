import type { Database } from 'better-sqlite3'
import type { Reading } from '../../core/model/input.ts'
import type { ImportMark, ReadingImport } from '../../core/model/ports/reading-import.ts'
import { ROLLUP_WIDTHS_MS, stretchStartMs } from './rollups.ts'
import { createSeriesIds } from './series-ids.ts'

/** What a file of readings needs of the book of record beside its inputs; it writes in the book's own transactions. */
export function createSqliteReadingImport({ db }: { db: Database }): ReadingImport {
  const find = db.prepare<[string], { json: string }>('SELECT json FROM import_mark WHERE file_hash = ?')
  const save = db.prepare<[string, string]>(
    'INSERT INTO import_mark (file_hash, json) VALUES (?, ?) ON CONFLICT (file_hash) DO UPDATE SET json = excluded.json',
  )
  return {
    mark: (fileHash) => {
      const kept = find.get(fileHash)
      return kept ? (JSON.parse(kept.json) as ImportMark) : null
    },
    saveMark: (mark) => void save.run(mark.fileHash, JSON.stringify(mark)),
    covered: createCover(db),
  }
}

/** A minute whose record counts more readings than are held: single ones of it have gone, or came as a record. */
function createCover(db: Database): ReadingImport['covered'] {
  const ids = createSeriesIds(db)
  const [minuteMs] = ROLLUP_WIDTHS_MS
  const recorded = db.prepare<[number, number], { n: number }>(
    `SELECT n FROM rollup WHERE width_ms = ${minuteMs} AND series = ? AND at_ms = ?`,
  )
  const held = db.prepare<[number, number, number], { n: number }>(
    'SELECT count(*) AS n FROM reading WHERE series = ? AND at_ms >= ? AND at_ms < ?',
  )
  return (readings) => {
    ids.forget()
    const minutes = new Map<string, boolean>()
    return readings.map(({ sensorId, quantity, atMs }: Reading) => {
      const series = ids.find(sensorId, quantity)
      if (series === null) return false
      const minute = stretchStartMs(atMs, minuteMs)
      const key = `${series}|${minute}`
      const known = minutes.get(key)
      if (known !== undefined) return known
      const n = recorded.get(series, minute)?.n ?? 0
      const isCovered = n > 0 && n > (held.get(series, minute, minute + minuteMs)?.n ?? 0)
      minutes.set(key, isCovered)
      return isCovered
    })
  }
}
