import type { Database } from 'better-sqlite3'
import type { Episode } from '../../core/model/episode.ts'
import type { Order } from '../../core/model/input.ts'
import type { SubjectHistory } from '../../core/model/ports/records.ts'
import { finite, type ReadingTable } from './readings.ts'

/** What the kernel looks up while it rebuilds a subject. */
export function createSubjectHistory(db: Database, readings: ReadingTable): SubjectHistory {
  const snapshot = db.prepare<[string, number], { throughMs: number; stateJson: string }>(
    `SELECT through_ms AS throughMs, json AS stateJson FROM subject_snapshot
     WHERE subject_key = ? AND through_ms < ? ORDER BY through_ms DESC LIMIT 1`,
  )
  const inForce = db.prepare<[number], { seq: number; json: string }>(
    `SELECT seq, json FROM input WHERE seq IN (
       SELECT max(seq) FROM input WHERE order_key IS NOT NULL AND order_key <> 'act' AND at_ms <= ? GROUP BY order_key)
     ORDER BY at_ms, seq`,
  )
  const later = db.prepare<[number], { seq: number; json: string }>(
    `SELECT seq, json FROM input WHERE order_key IS NOT NULL AND at_ms > ? ORDER BY at_ms, seq`,
  )
  const episodes = db.prepare<[string, number], { json: string }>(
    `SELECT json FROM episode WHERE subject_key = ? AND withdrawn = 0 AND (closed_ms IS NULL OR closed_ms > ?) ORDER BY from_ms, id`,
  )
  const toOrder = ({ seq, json }: { seq: number; json: string }): Order => ({
    ...(JSON.parse(json) as Order),
    seq,
  })
  return {
    snapshotBefore: ({ subjectKey, beforeMs }) => snapshot.get(subjectKey, finite(beforeMs)) ?? null,
    ordersFrom: (fromMs) => [...inForce.all(finite(fromMs)), ...later.all(finite(fromMs))].map(toOrder),
    readingsAfter: readings.after,
    episodesTouchedAfter: ({ subjectKey, afterMs }) =>
      episodes.all(subjectKey, finite(afterMs)).map(({ json }) => JSON.parse(json) as Episode),
  }
}
