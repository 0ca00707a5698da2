import type { Database } from 'better-sqlite3'
import type { Notice } from '../../core/model/notice.ts'
import type { BookOfRecord } from '../../core/model/ports/records.ts'

export interface NoticeTable extends Pick<BookOfRecord, 'pendingNotices' | 'settleNotice'> {
  readonly queue: (notice: Notice, atMs: number) => void
}

/** What people are to be told. A row stays when its notice has left, so that its key is known for good. */
export function createNoticeTable(db: Database): NoticeTable {
  const find = db.prepare<[string], { id: number }>('SELECT id FROM notice WHERE key = ?')
  const supersede = db.prepare<[string, string]>(
    'UPDATE notice SET replaced = 1 WHERE contact_id = ? AND topic = ? AND settled_ms IS NULL AND replaced = 0',
  )
  const insert = db.prepare<[string, string, string, string | null, number, string]>(
    'INSERT INTO notice (key, contact_id, topic, alarm_id, queued_ms, json) VALUES (?, ?, ?, ?, ?, ?)',
  )
  const pending = db.prepare<[number], { queuedMs: number; json: string }>(
    `SELECT queued_ms AS queuedMs, json FROM notice WHERE settled_ms IS NULL AND replaced = 0 ORDER BY id LIMIT ?`,
  )
  const settle = db.prepare<[string, number, string]>(
    'UPDATE notice SET outcome = ?, settled_ms = ? WHERE key = ? AND settled_ms IS NULL',
  )
  return {
    queue: (notice, atMs) => {
      if (find.get(notice.key)) return
      supersede.run(notice.contactId, notice.topic)
      insert.run(notice.key, notice.contactId, notice.topic, notice.alarmId, atMs, JSON.stringify(notice))
    },
    pendingNotices: (limit) =>
      pending.all(limit).map(({ queuedMs, json }) => ({ notice: JSON.parse(json) as Notice, queuedMs })),
    settleNotice: ({ key, outcome, atMs }) => void settle.run(outcome, atMs, key),
  }
}
