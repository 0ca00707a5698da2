import type { Database } from 'better-sqlite3'
import type { OutboundMessage } from '../../core/model/effect.ts'
import type { BookOfRecord, PendingMessage } from '../../core/model/ports/records.ts'

export interface Outbox extends Pick<BookOfRecord, 'pendingMessages' | 'markMessage'> {
  readonly queue: (message: OutboundMessage, atMs: number) => void
}

/** Messages that must leave the house. A row stays when its message has left, so that its key is known for good. */
export function createOutbox(db: Database): Outbox {
  const supersede = db.prepare<[string]>(
    'UPDATE message_outbox SET replaced = 1 WHERE replace_key = ? AND delivered_ms IS NULL AND replaced = 0',
  )
  const insert = db.prepare<[string, string, string, string, number]>(
    'INSERT INTO message_outbox (idempotency_key, channel, replace_key, json, queued_ms) VALUES (?, ?, ?, ?, ?)',
  )
  const find = db.prepare<[string], { id: number }>('SELECT id FROM message_outbox WHERE idempotency_key = ?')
  const pending = db.prepare<[number], Omit<PendingMessage, 'body'> & { json: string }>(
    `SELECT id, idempotency_key AS idempotencyKey, channel, replace_key AS replaceKey, json, queued_ms AS queuedMs, attempts
     FROM message_outbox WHERE delivered_ms IS NULL AND replaced = 0 ORDER BY id LIMIT ?`,
  )
  const mark = db.prepare<[number, number | null, number]>(
    'UPDATE message_outbox SET attempts = attempts + 1, last_attempt_ms = ?, delivered_ms = ? WHERE id = ? AND delivered_ms IS NULL',
  )
  return {
    queue: ({ idempotencyKey, channel, replaceKey, body }, atMs) => {
      if (find.get(idempotencyKey)) return
      supersede.run(replaceKey)
      insert.run(idempotencyKey, channel, replaceKey, JSON.stringify(body), atMs)
    },
    pendingMessages: (limit) =>
      pending
        .all(limit)
        .map(({ json, ...rest }) => ({ ...rest, body: JSON.parse(json) as Record<string, unknown> })),
    markMessage: ({ id, delivered, atMs }) => void mark.run(atMs, delivered ? atMs : null, id),
  }
}
