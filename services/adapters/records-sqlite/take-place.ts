import { existsSync, linkSync, renameSync, rmSync, statSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { syncFile } from './copy-records.ts'

export const DATABASE_FILE = 'nightcap.sqlite'

/** What changes the folder: a test lets it fail in the middle. */
export interface FolderChanges {
  readonly link: (path: string, name: string) => void
  readonly rename: (path: string, name: string) => void
  readonly remove: (path: string) => void
}

const CHANGES: FolderChanges = {
  link: linkSync,
  rename: renameSync,
  remove: (path) => rmSync(path, { force: true }),
}

export interface TakePlaceParts {
  /** A whole database in one file, on disk, beside the one whose place it takes. */
  readonly fresh: string
  readonly path: string
  /** How what was there shall be called; a number goes behind it where that is taken. */
  readonly wanted: string
  readonly changes?: FolderChanges
}

/**
 * Puts a database in the place of another, whose write-ahead log may be one that cannot be merged: damaged, or read by
 * somebody just now. Gives the name under which that other stands now with its log, or null where there was none.
 *
 * PLACE-1 two files cannot be exchanged at once. So the old two get second names; then the new one gets a name that says
 *         "this is it now", in one rename; and only then the old log goes, and the new one takes its place.
 * PLACE-2 whoever is cut off before that rename leaves the old database with its log; after it, the new one, which
 *         `databaseOf` finds, and which the next to open the folder for writing puts in its place.
 */
export function takePlace({ fresh, path, wanted, changes = CHANGES }: TakePlaceParts): string | null {
  const aside = existsSync(path) ? freeName(wanted) : null
  if (aside !== null) {
    if (holdsSomething(logOf(path))) changes.link(logOf(path), logOf(aside))
    changes.link(path, aside)
  }
  changes.rename(fresh, nextOf(path))
  syncFile(dirname(path))
  finishTakingPlace(path, changes)
  return aside
}

/** Puts a database in its place that was cut off on the way (PLACE-2). Whoever calls holds the folder. */
export function finishTakingPlace(path: string, changes: FolderChanges = CHANGES): void {
  const next = nextOf(path)
  if (!existsSync(next)) return
  // The old log would be read into the new database.
  for (const old of [logOf(path), `${path}-shm`]) changes.remove(old)
  changes.rename(next, path)
  for (const passing of [logOf(next), `${next}-shm`]) changes.remove(passing)
  syncFile(dirname(path))
}

/** The file in which the book of record of a data folder stands now. */
export function databaseOf(dataDir: string): string {
  const path = join(dataDir, DATABASE_FILE)
  return existsSync(nextOf(path)) ? nextOf(path) : path
}

function nextOf(path: string): string {
  return `${path}.next`
}

function logOf(path: string): string {
  return `${path}-wal`
}

function holdsSomething(log: string): boolean {
  return (statSync(log, { throwIfNoEntry: false })?.size ?? 0) > 0
}

function freeName(wanted: string): string {
  const isTaken = (name: string): boolean => existsSync(name) || existsSync(logOf(name))
  let name = wanted
  for (let n = 2; isTaken(name); n++) name = `${wanted}-${n}`
  return name
}
