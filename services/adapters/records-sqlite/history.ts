import type { Database } from 'better-sqlite3'
import type { Episode } from '../../core/model/episode.ts'
import type { InputOf } from '../../core/model/input.ts'
import type { SubjectHistory } from '../../core/model/ports/records.ts'
import { finite, type ReadingTable } from './readings.ts'

/** What the kernel looks up while it rebuilds a subject. */
export function createSubjectHistory(db: Database, readings: ReadingTable): SubjectHistory {
  const snapshot = db.prepare<[string, number], { throughMs: number; stateJson: string }>(
    `SELECT through_ms AS throughMs, json AS stateJson FROM subject_snapshot
     WHERE subject_key = ? AND through_ms < ? ORDER BY through_ms DESC LIMIT 1`,
  )
  const inForce = db.prepare<[number], { seq: number; json: string }>(
    `SELECT seq, json FROM input WHERE type = 'settings' AND at_ms <= ? ORDER BY at_ms DESC, seq DESC LIMIT 1`,
  )
  const later = db.prepare<[number], { seq: number; json: string }>(
    `SELECT seq, json FROM input WHERE type = 'settings' AND at_ms > ? ORDER BY at_ms, seq`,
  )
  const episodes = db.prepare<[string, number], { json: string }>(
    `SELECT json FROM episode WHERE subject_key = ? AND withdrawn = 0 AND (closed_ms IS NULL OR closed_ms > ?) ORDER BY from_ms, id`,
  )
  const toSettings = ({ seq, json }: { seq: number; json: string }): InputOf<'settings'> => ({
    ...(JSON.parse(json) as InputOf<'settings'>),
    seq,
  })
  return {
    snapshotBefore: ({ subjectKey, beforeMs }) => snapshot.get(subjectKey, finite(beforeMs)) ?? null,
    settingsFrom: (fromMs) => [...inForce.all(finite(fromMs)), ...later.all(finite(fromMs))].map(toSettings),
    readingsAfter: readings.after,
    episodesTouchedAfter: ({ subjectKey, afterMs }) =>
      episodes.all(subjectKey, finite(afterMs)).map(({ json }) => JSON.parse(json) as Episode),
  }
}
