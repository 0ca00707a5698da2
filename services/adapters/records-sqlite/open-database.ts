import BetterSqlite3, { type Database } from 'better-sqlite3'
import { existsSync, mkdirSync } from 'node:fs'
import { join } from 'node:path'
import { checkFile } from './check-file.ts'
import { lockFolder, makePrivateFile } from './folder-lock.ts'
import { migrate, SCHEMA_VERSION } from './migrations.ts'
import { reasonOf, RecordsError } from './records-error.ts'
import { DATABASE_FILE, finishTakingPlace } from './take-place.ts'

/** How long a statement waits for another process, a backup for instance, that holds the database. */
const BUSY_MS = 5_000
/** What the write-ahead log is cut back to. */
const LOG_BYTES = 64 * 1024 * 1024

/**
 * Opens the database of a data folder for one monitor, and makes both where they are missing (folder 0700, file 0600).
 * A damaged file is copied aside and left as it is; nothing is repaired behind anybody's back. Closing the database
 * frees the folder.
 *
 * @throws {RecordsError} RECORDS_FOLDER, RECORDS_IN_USE, RECORDS_CORRUPT or RECORDS_NEWER, each with its cure.
 */
export function openDatabase({ dataDir }: { dataDir: string }): Database {
  const lock = usable(dataDir, () => {
    mkdirSync(dataDir, { recursive: true, mode: 0o700 })
    return lockFolder(dataDir)
  })
  try {
    const db = usable(dataDir, () => {
      const path = join(dataDir, DATABASE_FILE)
      finishTakingPlace(path)
      return openDatabaseFile(path)
    })
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

/** Opens the file alone, made where it is missing: whoever calls holds the folder. */
export function openDatabaseFile(path: string): Database {
  if (existsSync(path)) checkFile(path)
  else makePrivateFile(path)
  const db = new BetterSqlite3(path, { timeout: BUSY_MS })
  try {
    db.pragma('journal_mode = WAL')
    db.pragma('synchronous = FULL')
    db.pragma('foreign_keys = ON')
    // A long transaction may make a long log; it is cut back after it, so that the disk is not kept for it.
    db.pragma(`journal_size_limit = ${LOG_BYTES}`)
    migrate(db)
    // A file that may only be read is opened for reading without a word. Better to hear of it now than at the first commit.
    db.pragma(`user_version = ${SCHEMA_VERSION}`)
    return db
  } catch (error) {
    db.close()
    throw error
  }
}

/** Gives any trouble that is not named yet the name of the folder, and a cure. */
function usable<T>(dataDir: string, open: () => T): T {
  try {
    return open()
  } catch (cause) {
    if (cause instanceof RecordsError) throw cause
    if (String(cause).includes('Could not locate the bindings file')) {
      const cure = 'let npm ci finish, with python3, make and a C++ compiler at hand, then start again'
      throw new RecordsError('RECORDS_FOLDER', `better-sqlite3 is not built yet: ${cure}`, { cause })
    }
    throw new RecordsError(
      'RECORDS_FOLDER',
      `the data folder ${dataDir} cannot be used (${reasonOf(cause)}): give this user the right to write there, make room on the disk, or name another NIGHTCAP_DATA_DIR`,
      { cause },
    )
  }
}
