import type { Database } from 'better-sqlite3'
import { rmSync } from 'node:fs'
import { createSqliteBookOfRecord } from './create-book-of-record.ts'
import { syncFile } from './copy-records.ts'
import { openDatabaseFile } from './open-database.ts'
import { takePlace } from './take-place.ts'
import type { BookOfRecord } from '../../core/model/ports/records.ts'

/** What follows from the log: made anew by a replay. All else, whatever tables there will be, is taken over as it is. */
const FROM_THE_LOG: readonly string[] = [
  'input',
  'reading',
  'subject_snapshot',
  'kernel_snapshot',
  'episode',
  'alarm',
  'alarm_change',
  'task',
  'event',
  'message_outbox',
  'notice',
  'machine_quarter',
  'machine_stretch',
  'disposal',
  'log_entry',
  'night_exposure',
  'counter',
]

/** A database beside the old one into which its log is replayed. */
export interface ReplayFile {
  readonly book: BookOfRecord
  /**
   * Takes over what does not follow from the log, marks everything as told, and puts the new database in the place of the
   * old one, which stays under another name. Gives that name. Both databases are closed then.
   */
  readonly takePlace: (parts: { forwardedSeq: number; label: string }) => string
  /** Leaves the old one as it was. */
  readonly giveUp: () => void
}

/** @throws what SQLite says when there is no room. */
export function openReplayFile(old: Database): ReplayFile {
  const path = old.name
  const fresh = `${path}.replaying`
  const clear = (): void => {
    for (const part of ['', '-wal', '-shm', '-journal']) rmSync(fresh + part, { force: true })
  }
  clear()
  const db = openDatabaseFile(fresh)
  // The same numbers for the same series, so that their records can be taken over as they are.
  db.prepare('ATTACH ? AS old').run(path)
  db.exec('INSERT INTO series SELECT * FROM old.series')
  return {
    book: createSqliteBookOfRecord({ db }),
    takePlace: ({ forwardedSeq, label }) => {
      db.transaction(() => takeOver(db, forwardedSeq))()
      db.exec('DETACH old')
      db.pragma('wal_checkpoint(TRUNCATE)')
      db.close()
      // Its log is merged first, so that the one file is the whole of it.
      old.pragma('wal_checkpoint(TRUNCATE)')
      syncFile(fresh)
      // Where somebody reads it just now, a backup for instance, the log cannot be cut back: it then stays with the old one.
      const wanted = `${path}.${label}`
      const aside = takePlace({ fresh, path, wanted })
      old.close()
      return aside ?? wanted
    },
    giveUp: () => {
      db.close()
      clear()
    },
  }
}

function takeOver(db: Database, forwardedSeq: number): void {
  const tables = db
    .prepare<[], { name: string }>(
      "SELECT name FROM old.sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'",
    )
    .all()
    .map((row) => row.name)
  for (const table of tables.filter((name) => name !== 'series' && !FROM_THE_LOG.includes(name)))
    db.exec(`DELETE FROM main."${table}"; INSERT INTO main."${table}" SELECT * FROM old."${table}"`)
  // What happened before the oldest reading that is still held cannot be made anew.
  const first = `(SELECT coalesce(min(at_ms), ${Number.MIN_SAFE_INTEGER}) FROM old.reading)`
  db.exec(`
    INSERT OR IGNORE INTO main.machine_quarter SELECT * FROM old.machine_quarter WHERE end_ms < ${first};
    INSERT OR IGNORE INTO main.machine_stretch SELECT * FROM old.machine_stretch WHERE start_ms + width_ms < ${first};
    INSERT OR IGNORE INTO main.counter SELECT * FROM old.counter
      WHERE name NOT IN ('readings', 'notJudged', 'forwardedSeq', 'prunedInputSeq');
    UPDATE main.message_outbox SET delivered_ms = queued_ms WHERE delivered_ms IS NULL;
    UPDATE main.notice SET outcome = 'delivered', settled_ms = queued_ms WHERE settled_ms IS NULL;
  `)
  const set = db.prepare(
    'INSERT INTO main.counter (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value',
  )
  set.run('forwardedSeq', forwardedSeq)
}
