import BetterSqlite3, { type Database } from 'better-sqlite3'
import { chmodSync, copyFileSync, existsSync, mkdirSync } from 'node:fs'
import { join } from 'node:path'
import { lockFolder } from './folder-lock.ts'
import { migrate } from './migrations.ts'
import { RecordsError } from './records-error.ts'

export const DATABASE_FILE = 'nightcap.sqlite'

/**
 * Opens the database of a data folder for one monitor, and makes both where they are missing (folder 0700, file 0600).
 * A damaged file is copied aside and left as it is; nothing is repaired behind anybody's back.
 *
 * @throws {RecordsError} RECORDS_FOLDER, RECORDS_IN_USE, RECORDS_CORRUPT or RECORDS_NEWER, each with its cure.
 */
export function openDatabase({ dataDir }: { dataDir: string }): Database {
  const path = join(dataDir, DATABASE_FILE)
  const lock = openFolder(dataDir)
  try {
    const isNew = !existsSync(path)
    const db = openFile(path)
    if (isNew) chmodSync(path, 0o600)
    migrate(db)
    const close = db.close.bind(db)
    db.close = () => {
      close()
      lock.release()
      return db
    }
    return db
  } catch (error) {
    lock.release()
    throw error
  }
}

function openFolder(dataDir: string): { release: () => void } {
  try {
    mkdirSync(dataDir, { recursive: true, mode: 0o700 })
    return lockFolder(join(dataDir, 'monitor.lock'))
  } catch (cause) {
    if (cause instanceof RecordsError) throw cause
    const why = cause instanceof Error ? cause.message : String(cause)
    throw new RecordsError(
      'RECORDS_FOLDER',
      `the data folder ${dataDir} cannot be used (${why}): give it to this user, or name another NIGHTCAP_DATA_DIR`,
      { cause },
    )
  }
}

function openFile(path: string): Database {
  let db: Database | null = null
  try {
    db = new BetterSqlite3(path)
    db.pragma('journal_mode = WAL')
    db.pragma('synchronous = FULL')
    db.pragma('foreign_keys = ON')
    const verdict = db.pragma('quick_check(1)', { simple: true })
    if (verdict !== 'ok') throw new Error(String(verdict))
    return db
  } catch (cause) {
    db?.close()
    const aside = `${path}.damaged-copy`
    if (existsSync(path)) copyFileSync(path, aside)
    const why = cause instanceof Error ? cause.message : String(cause)
    throw new RecordsError(
      'RECORDS_CORRUPT',
      `${path} cannot be read (${why}). It was left as it is, with a copy at ${aside}: put a backup in its place, or move it away to begin anew`,
      { cause },
    )
  }
}
