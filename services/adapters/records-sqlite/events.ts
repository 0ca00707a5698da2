import type { Database } from 'better-sqlite3'
import type { RecordedEvent } from '../../core/model/ports/records.ts'

export interface Events {
  readonly add: (atMs: number, kind: RecordedEvent['kind'], body: RecordedEvent['body']) => void
}

/** What screens are told of, in order. */
export function createEvents(db: Database): Events {
  const insert = db.prepare<[number, string, string]>(
    'INSERT INTO event (at_ms, kind, json) VALUES (?, ?, ?)',
  )
  return { add: (atMs, kind, body) => void insert.run(atMs, kind, JSON.stringify(body)) }
}
