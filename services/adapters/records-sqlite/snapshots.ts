import type { Database } from 'better-sqlite3'
import type { BookOfRecord, KernelSnapshot } from '../../core/model/ports/records.ts'

/** The kernel's state as a whole: the newest alone is kept, since recovery asks for no other. */
export function createKernelSnapshots(
  db: Database,
): Pick<BookOfRecord, 'saveKernelSnapshot' | 'latestKernelSnapshot'> {
  const save = db.prepare<[number, string, string]>(
    `INSERT INTO kernel_snapshot (one, seq, kernel_version, json) VALUES (1, ?, ?, ?)
     ON CONFLICT (one) DO UPDATE SET seq = excluded.seq, kernel_version = excluded.kernel_version, json = excluded.json`,
  )
  const latest = db.prepare<[], KernelSnapshot>(
    'SELECT seq, kernel_version AS kernelVersion, json AS stateJson FROM kernel_snapshot',
  )
  return {
    saveKernelSnapshot: ({ seq, kernelVersion, stateJson }) => void save.run(seq, kernelVersion, stateJson),
    latestKernelSnapshot: () => latest.get() ?? null,
  }
}

export interface SubjectSnapshots {
  readonly put: (subjectKey: string, throughMs: number, stateJson: string) => void
  /** Those at or after `fromMs` no longer hold. */
  readonly drop: (subjectKey: string, fromMs: number) => void
  readonly prune: (beforeMs: number) => void
}

/** The state of each subject at several times, for rebuilding after a late reading. */
export function createSubjectSnapshots(db: Database): SubjectSnapshots {
  const put = db.prepare<[string, number, string]>(
    `INSERT INTO subject_snapshot (subject_key, through_ms, json) VALUES (?, ?, ?)
     ON CONFLICT (subject_key, through_ms) DO UPDATE SET json = excluded.json`,
  )
  const drop = db.prepare<[string, number]>(
    'DELETE FROM subject_snapshot WHERE subject_key = ? AND through_ms >= ?',
  )
  const prune = db.prepare<[number]>('DELETE FROM subject_snapshot WHERE through_ms < ?')
  return {
    put: (subjectKey, throughMs, stateJson) => void put.run(subjectKey, throughMs, stateJson),
    drop: (subjectKey, fromMs) => void drop.run(subjectKey, fromMs),
    prune: (beforeMs) => void prune.run(beforeMs),
  }
}
