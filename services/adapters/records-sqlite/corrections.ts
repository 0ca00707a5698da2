import type { Database } from 'better-sqlite3'
import type { RecordsReader } from '../../core/model/ports/records.ts'

type Row = { id: string; n: number }

/** How often entries of the logbook, and disposals, were said anew: of many in one query. */
export function correctionQueries(db: Database): Pick<RecordsReader, 'corrections'> {
  const ofEntries = db.prepare<[string, string], Row>(
    `SELECT id, count(*) - 1 AS n FROM log_entry
     WHERE kind = ? AND id IN (SELECT value FROM json_each(?)) GROUP BY id`,
  )
  const ofDisposals = db.prepare<[string], Row>(
    `SELECT disposal_id AS id, count(*) - 1 AS n FROM disposal
     WHERE disposal_id IN (SELECT value FROM json_each(?)) GROUP BY disposal_id`,
  )
  return {
    corrections: ({ kind, ids }) => {
      const asked = JSON.stringify(ids)
      const rows = kind === 'disposal' ? ofDisposals.all(asked) : ofEntries.all(kind, asked)
      return new Map(rows.map(({ id, n }) => [id, n]))
    },
  }
}
