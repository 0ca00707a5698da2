import BetterSqlite3 from 'better-sqlite3'
import { closeSync, openSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { RecordsError } from './records-error.ts'

const LOCK_FILE = 'nightcap.lock'
const PID_FILE = 'nightcap.pid'

/**
 * Keeps a second monitor off a data folder. The lock belongs to the system, not to a number in a file: it goes with
 * the process that holds it, however that ends, and it holds between containers, where process numbers repeat.
 * The lock file is an empty SQLite database held exclusively; it stays when the lock is released.
 *
 * @throws {RecordsError} RECORDS_IN_USE
 */
export function lockFolder(dataDir: string): { release: () => void } {
  const path = join(dataDir, LOCK_FILE)
  makePrivateFile(path)
  const lock = new BetterSqlite3(path, { timeout: 0 })
  try {
    // A file that may only be read is opened for reading without a word, and then locks nothing: the write, which is
    // never committed, says so.
    lock.pragma('journal_mode = MEMORY')
    lock.exec('BEGIN EXCLUSIVE; PRAGMA user_version = 1')
  } catch (cause) {
    lock.close()
    if (!(cause instanceof BetterSqlite3.SqliteError) || cause.code !== 'SQLITE_BUSY') throw cause
    throw new RecordsError(
      'RECORDS_IN_USE',
      `another monitor${holderOf(dataDir)} uses the data folder ${dataDir}: stop it first, or name another NIGHTCAP_DATA_DIR`,
      { cause },
    )
  }
  const pidPath = join(dataDir, PID_FILE)
  writeFileSync(pidPath, `${process.pid}\n`, { mode: 0o600 })
  return {
    release: () => {
      rmSync(pidPath, { force: true })
      lock.close()
    },
  }
}

/**
 * An empty file of mode 0600, where there is none. One that exists is not even opened: closing any handle of a file
 * would end this process's locks on it (POSIX).
 */
export function makePrivateFile(path: string): void {
  try {
    closeSync(openSync(path, 'wx', 0o600))
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error
  }
}

/** The process to stop, for the message alone. */
function holderOf(dataDir: string): string {
  try {
    return ` (process ${readFileSync(join(dataDir, PID_FILE), 'utf8').trim()})`
  } catch {
    return ''
  }
}
