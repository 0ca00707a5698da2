import type { Database } from 'better-sqlite3'
import type { GivenAnswer, KeyedRequest, SentOnceStore } from '../../core/model/ports/sent-once.ts'

interface Row {
  readonly askedHash: string
  readonly status: number | null
  readonly contentType: string
  readonly body: string
}
type Place = Pick<KeyedRequest, 'callerId' | 'key'>

/** Requests with a key of their own, in the same database. */
export function createSqliteSentOnceStore({ db }: { db: Database }): SentOnceStore {
  const find = db.prepare<Place, Row>(
    `SELECT asked_hash AS askedHash, status, content_type AS contentType, body FROM sent_once
     WHERE caller_id = @callerId AND key = @key`,
  )
  const insert = db.prepare<KeyedRequest & { atMs: number }>(
    `INSERT INTO sent_once (caller_id, key, asked_hash, begun_ms) VALUES (@callerId, @key, @askedHash, @atMs)`,
  )
  const update = db.prepare<Place & GivenAnswer>(
    `UPDATE sent_once SET status = @status, content_type = @contentType, body = @body
     WHERE caller_id = @callerId AND key = @key`,
  )
  const remove = db.prepare<Place>('DELETE FROM sent_once WHERE caller_id = @callerId AND key = @key')
  const drop = db.prepare<[number]>('DELETE FROM sent_once WHERE begun_ms < ?')
  return {
    begin: ({ callerId, key, askedHash, atMs }) => {
      const known = find.get({ callerId, key })
      if (!known) {
        insert.run({ callerId, key, askedHash, atMs })
        return { state: 'new' }
      }
      const { status, contentType, body } = known
      if (known.askedHash !== askedHash) return { state: 'other' }
      return status === null
        ? { state: 'begun' }
        : { state: 'answered', answer: { status, contentType, body } }
    },
    settle: ({ callerId, key }, { status, contentType, body }) =>
      void update.run({ callerId, key, status, contentType, body }),
    forget: ({ callerId, key }) => void remove.run({ callerId, key }),
    dropBefore: (atMs) => void drop.run(atMs),
  }
}
