import type { Database } from 'better-sqlite3'
import type { Disposal } from '../../core/model/disposal.ts'
import type { RecordsReader } from '../../core/model/ports/records.ts'
import { finite } from './readings.ts'

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
  const newest = db.prepare<{ fromMs: number; toMs: number; limit: number }, { json: string }>(
    `SELECT json FROM disposal d WHERE disposed_ms >= @fromMs AND disposed_ms < @toMs
       AND NOT EXISTS (SELECT 1 FROM disposal n WHERE n.disposal_id = d.disposal_id AND n.entry > d.entry)
     ORDER BY disposed_ms DESC, entry DESC LIMIT @limit`,
  )
  const history = db.prepare<[string], { json: string }>(
    'SELECT json FROM disposal WHERE disposal_id = ? ORDER BY entry',
  )
  const parsed = ({ json }: { json: string }): Disposal => JSON.parse(json) as Disposal
  return {
    disposals: ({ fromMs, toMs, limit }) =>
      newest.all({ fromMs: finite(fromMs), toMs: finite(toMs), limit: finite(limit) }).map(parsed),
    disposalHistory: (disposalId) => history.all(disposalId).map(parsed),
  }
}
