import BetterSqlite3 from 'better-sqlite3'
import { existsSync, mkdirSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { copyRecords, type RecordsCounts } from './copy-records.ts'
import { lockFolder } from './folder-lock.ts'
import { DATABASE_FILE, finishTakingPlace, takePlace, type FolderChanges } from './take-place.ts'

export interface RestoreParts {
  readonly dataDir: string
  readonly file: string
  readonly nowMs: number
  readonly onProgress: (share: number) => void
  readonly changes?: FolderChanges
}

export interface RestoreReport extends RecordsCounts {
  /** Where what was there before stands now, or null where there was nothing. */
  readonly aside: string | null
}

/**
 * Puts a backup in the place of the book of record of a data folder.
 *
 * RESTORE-1 a folder that a monitor uses is refused, as are a damaged backup, one of a newer release and a file that is
 *           no backup: nothing is changed then.
 * RESTORE-2 what was there is kept under another name, damaged or not, and never overwritten. Cut off at any moment it
 *           leaves either the old database with its log, or the restored one, whole (`takePlace`).
 * RESTORE-3 everybody has to sign in again: who was sent away since the backup was made stays away.
 *
 * @throws {RecordsError} RECORDS_IN_USE, and as `copyRecords`
 */
export async function restoreRecords({
  dataDir,
  file,
  nowMs,
  onProgress,
  changes,
}: RestoreParts): Promise<RestoreReport> {
  mkdirSync(dataDir, { recursive: true, mode: 0o700 })
  const lock = lockFolder(dataDir)
  try {
    const path = join(dataDir, DATABASE_FILE)
    finishTakingPlace(path)
    const restoring = `${path}.restoring`
    for (const part of ['', '-journal', '-wal', '-shm']) rmSync(restoring + part, { force: true })
    const counts = await copyRecords({
      from: file,
      to: restoring,
      onProgress,
      finish: (copy) => copy.exec('DELETE FROM session; DELETE FROM sign_in_code'),
    })
    if (existsSync(path)) mergeLog(path)
    const wanted = `${path}.before-restore-${new Date(nowMs).toISOString().replaceAll(':', '-')}`
    const aside = takePlace({ fresh: restoring, path, wanted, ...(changes ? { changes } : {}) })
    return { ...counts, aside }
  } finally {
    lock.release()
  }
}

/** Merges the write-ahead log into its database, as closing the last connection does. A damaged one stays as it is. */
function mergeLog(path: string): void {
  try {
    const db = new BetterSqlite3(path)
    try {
      db.pragma('wal_checkpoint(TRUNCATE)')
    } finally {
      db.close()
    }
  } catch {
    // Set aside as it is, with its log.
  }
}
