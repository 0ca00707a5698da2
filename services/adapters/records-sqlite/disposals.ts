import type { Database } from 'better-sqlite3'
import type { Disposal } from '../../core/model/disposal.ts'
import type { RecordsReader } from '../../core/model/ports/records.ts'

export interface DisposalTable {
  readonly add: (disposal: Disposal, loggedMs: number) => void
}

/** Entries are only ever added: a correction is an entry of the same id, and the newest counts. */
export function createDisposalTable(db: Database): DisposalTable {
  const insert = db.prepare<[string, number, number, string]>(
    'INSERT INTO disposal (disposal_id, disposed_ms, logged_ms, json) VALUES (?, ?, ?, ?)',
  )
  return {
    add: (disposal, loggedMs) =>
      void insert.run(disposal.disposalId, disposal.disposedMs, loggedMs, JSON.stringify(disposal)),
  }
}

export function disposalQueries(db: Database): Pick<RecordsReader, 'disposals' | 'disposalHistory'> {
  const newest = db.prepare<[number], { json: string }>(
    `SELECT json FROM disposal WHERE entry IN (SELECT max(entry) FROM disposal GROUP BY disposal_id)
     ORDER BY disposed_ms DESC, entry DESC LIMIT ?`,
  )
  const history = db.prepare<[string], { json: string }>(
    'SELECT json FROM disposal WHERE disposal_id = ? ORDER BY entry',
  )
  const parsed = ({ json }: { json: string }): Disposal => JSON.parse(json) as Disposal
  return {
    disposals: (limit) => newest.all(limit).map(parsed),
    disposalHistory: (disposalId) => history.all(disposalId).map(parsed),
  }
}
