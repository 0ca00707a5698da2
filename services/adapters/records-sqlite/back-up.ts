import { existsSync, linkSync, mkdirSync, readdirSync, renameSync, rmSync, statSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { copyRecords, syncFile, type RecordsCounts } from './copy-records.ts'
import { BACK_UP_NAME, clearPartials, partialOf } from './partial-files.ts'
import { RecordsError } from './records-error.ts'
import { databaseOf } from './take-place.ts'

export interface BackUpParts {
  readonly dataDir: string
  /** Where the backup shall stand. Nothing is ever overwritten. */
  readonly file: string
  readonly onProgress: (share: number) => void
  /** Gives a file a second name; throws with a code where it cannot. */
  readonly link?: (path: string, name: string) => void
}

export interface BackUpReport extends RecordsCounts {
  readonly bytes: number
}

/**
 * Makes a checked copy of the book of record of a data folder, whether a monitor runs on it or not.
 *
 * BACKUP-1 the file appears under its name whole, checked and synced, or not at all; mode 0600.
 * BACKUP-2 it is the database alone: the key that seals secrets lies elsewhere and is not looked at.
 * BACKUP-3 a file of that name stays as it is.
 * BACKUP-5 what a backup left half made that was killed is cleared by the next one in the folder (`clearPartials`).
 *
 * @throws {RecordsError} as `copyRecords`; RECORDS_TAKEN where the name is taken.
 */
export async function backUpRecords({
  dataDir,
  file,
  onProgress,
  link = linkSync,
}: BackUpParts): Promise<BackUpReport> {
  if (existsSync(file)) throw taken(file)
  mkdirSync(dirname(file), { recursive: true, mode: 0o700 })
  clearPartials(file, Date.now())
  const partial = partialOf(file)
  rmSync(partial, { force: true })
  const counts = await copyRecords({ from: databaseOf(dataDir), to: partial, onProgress })
  try {
    giveName(partial, file, link)
  } finally {
    rmSync(partial, { force: true })
  }
  syncFile(dirname(file))
  return { ...counts, bytes: statSync(file).size }
}

/** Disks that know no second names, such as a USB stick in FAT or exFAT, and some in the network. */
const NO_LINKS = ['EPERM', 'ENOTSUP', 'EOPNOTSUPP', 'ENOSYS']

/** A second name for the whole file: unlike a rename it fails where the name was taken meanwhile. */
function giveName(partial: string, file: string, link: (path: string, name: string) => void): void {
  try {
    link(partial, file)
  } catch (error) {
    const { code = '' } = error as NodeJS.ErrnoException
    if (code === 'EEXIST' || existsSync(file)) throw taken(file)
    if (!NO_LINKS.includes(code)) throw error
    renameSync(partial, file)
  }
}

/** `nightcap-2027-01-12T11-30-00Z.sqlite`: names sort as their times do. */
export function backUpName(atMs: number): string {
  return `nightcap-${new Date(atMs).toISOString().slice(0, 19).replaceAll(':', '-')}Z.sqlite`
}

/** Removes all but the newest `keep` backups that have a name of ours; other files are not touched. Gives what went. */
export function dropOldBackUps(folder: string, keep: number): readonly string[] {
  const old = readdirSync(folder)
    .filter((name) => BACK_UP_NAME.test(name))
    .sort()
    .slice(0, -keep)
  for (const name of old) rmSync(join(folder, name))
  return old
}

function taken(file: string): RecordsError {
  return new RecordsError('RECORDS_TAKEN', `${file} is there already, and stays as it is: name another file`)
}
