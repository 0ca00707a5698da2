import type { Database } from 'better-sqlite3'
import type { PruneKind, Pruner } from '../../core/model/ports/pruning.ts'
import { createCounters } from './counters.ts'

/** Types of input that mean nothing once the readings around them have gone. */
const PASSING_INPUTS = "('readings', 'deadline', 'nodeStatus', 'readingsAhead')"

/** Rows of a kind that are too old, the oldest first: what stands between DELETE and its limit. */
const OLD_ROWS: Readonly<Record<Exclude<PruneKind, 'inputs'>, string>> = {
  events:
    'event WHERE rowid IN (SELECT id FROM event WHERE at_ms < @beforeMs AND id < (SELECT max(id) FROM event)',
  messages:
    'message_outbox WHERE rowid IN (SELECT id FROM message_outbox WHERE delivered_ms < @beforeMs OR (replaced = 1 AND queued_ms < @beforeMs)',
  notices:
    'notice WHERE rowid IN (SELECT id FROM notice WHERE settled_ms < @beforeMs OR (replaced = 1 AND queued_ms < @beforeMs)',
  deliveries: `delivery WHERE rowid IN (SELECT id FROM delivery WHERE state <> 'waiting' AND next_ms < @beforeMs
    AND NOT EXISTS (SELECT 1 FROM notice WHERE notice.key = delivery.notice_key)`,
  conflicts: `conflict WHERE (series, at_ms, value) IN (SELECT series, at_ms, value FROM conflict
    WHERE series IN (SELECT id FROM series) AND at_ms < @beforeMs`,
  sessions: 'session WHERE rowid IN (SELECT rowid FROM session WHERE expires_ms < @beforeMs',
  signInCodes: 'sign_in_code WHERE rowid IN (SELECT rowid FROM sign_in_code WHERE expires_ms < @beforeMs',
  answers:
    'sent_once WHERE (caller_id, key) IN (SELECT caller_id, key FROM sent_once WHERE begun_ms < @beforeMs',
}

/** Throws away in the tables of `openDatabase` what has grown too old. */
export function createSqlitePruner({ db }: { db: Database }): Pruner {
  const inputs = inputPruner(db)
  const statements = new Map(
    Object.entries(OLD_ROWS).map(([kind, rows]) => [
      kind,
      db.prepare<{ beforeMs: number; most: number }>(`DELETE FROM ${rows} LIMIT @most)`),
    ]),
  )
  const oldest = db.prepare<[], { atMs: number | null }>(
    'SELECT min((SELECT min(at_ms) FROM reading WHERE series = s.id)) AS atMs FROM series s',
  )
  return {
    prune: (kind, query) => {
      if (kind === 'inputs') return inputs(query)
      const gone = statements.get(kind)?.run(query).changes ?? 0
      return { gone, done: gone < query.most }
    },
    oldestReadingMs: () => oldest.get()?.atMs ?? null,
  }
}

/**
 * Goes along the log from where it stopped last time, so that what stays for good is not looked at again and again. The
 * log is in order of arrival, so it ends at the first input that is young enough. A pack that was passed because one of
 * its readings was still held is looked at again: the next time begins before the first of these.
 */
function inputPruner(
  db: Database,
): (query: { beforeMs: number; most: number }) => { gone: number; done: boolean } {
  const counters = createCounters(db)
  const last = db.prepare<[number, number], { seq: number | null }>(
    `SELECT max(seq) AS seq FROM (SELECT seq FROM input WHERE seq > ? ORDER BY seq LIMIT ?)`,
  )
  const young = db.prepare<[number, number, number], { seq: number | null }>(
    'SELECT min(seq) AS seq FROM input WHERE seq > ? AND seq <= ? AND received_ms >= ?',
  )
  const keep = db.prepare<[], { seq: number | null }>(
    `SELECT min((SELECT max(seq) - 1 FROM input), (SELECT coalesce(max(seq), 0) FROM kernel_snapshot)) AS seq`,
  )
  const remove = db.prepare<[number, number]>(
    `DELETE FROM input WHERE seq > ? AND seq <= ? AND type IN ${PASSING_INPUTS}
     AND NOT EXISTS (SELECT 1 FROM reading WHERE reading.seq = input.seq)`,
  )
  const firstHeld = db.prepare<[], { seq: number | null }>('SELECT min(seq) AS seq FROM reading')
  const stopAt = (seq: number, isLast: boolean): void => {
    const held = isLast ? (firstHeld.get()?.seq ?? Infinity) : Infinity
    counters.set('prunedInputSeq', Math.min(seq, held - 1))
  }
  return ({ beforeMs, most }) => {
    const from = counters.get('prunedInputSeq') ?? 0
    const window = Math.min(last.get(from, most)?.seq ?? 0, keep.get()?.seq ?? 0)
    const firstYoung = young.get(from, window, beforeMs)?.seq ?? null
    const through = firstYoung === null ? window : firstYoung - 1
    const done = firstYoung !== null || through <= from
    const gone = through <= from ? 0 : remove.run(from, through).changes
    stopAt(Math.max(from, through), done)
    return { gone, done }
  }
}
