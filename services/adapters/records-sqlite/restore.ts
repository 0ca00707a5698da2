import BetterSqlite3 from 'better-sqlite3'
import { existsSync, linkSync, mkdirSync, renameSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { copyRecords, syncFile, type RecordsCounts } from './copy-records.ts'
import { lockFolder } from './folder-lock.ts'
import { DATABASE_FILE } from './open-database.ts'

export interface RestoreParts {
  readonly dataDir: string
  readonly file: string
  readonly nowMs: number
  readonly onProgress: (share: number) => void
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
 * RESTORE-2 what was there is kept under another name, damaged or not, and never overwritten. At every moment there is
 *           either the old or the restored database in the place, whole.
 * RESTORE-3 everybody has to sign in again: who was sent away since the backup was made stays away.
 *
 * @throws {RecordsError} RECORDS_IN_USE, and as `copyRecords`
 */
export async function restoreRecords({
  dataDir,
  file,
  nowMs,
  onProgress,
}: RestoreParts): Promise<RestoreReport> {
  mkdirSync(dataDir, { recursive: true, mode: 0o700 })
  const lock = lockFolder(dataDir)
  try {
    const path = join(dataDir, DATABASE_FILE)
    const restoring = `${path}.restoring`
    for (const part of ['', '-journal', '-wal', '-shm']) rmSync(restoring + part, { force: true })
    const counts = await copyRecords({
      from: file,
      to: restoring,
      onProgress,
      finish: (copy) => copy.exec('DELETE FROM session; DELETE FROM sign_in_code'),
    })
    const aside = setAside(path, nowMs)
    renameSync(restoring, path)
    syncFile(dataDir)
    return { ...counts, aside }
  } finally {
    lock.release()
  }
}

/** Gives what is there a second name; the first is taken over by the rename that follows. */
function setAside(path: string, nowMs: number): string | null {
  if (!existsSync(path)) return null
  mergeLog(path)
  const aside = freeName(`${path}.before-restore-${new Date(nowMs).toISOString().replaceAll(':', '-')}`)
  // What could not be merged belongs to the old file, and would be read into the new one.
  for (const part of ['-wal', '-shm']) if (existsSync(path + part)) renameSync(path + part, aside + part)
  linkSync(path, aside)
  return aside
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

function freeName(wanted: string): string {
  let name = wanted
  for (let n = 2; existsSync(name); n++) name = `${wanted}-${n}`
  return name
}
