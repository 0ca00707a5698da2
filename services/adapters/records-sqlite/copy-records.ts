import BetterSqlite3, { type Database } from 'better-sqlite3'
import { closeSync, fsyncSync, openSync, rmSync, statfsSync, statSync } from 'node:fs'
import { dirname } from 'node:path'
import { makePrivateFile } from './folder-lock.ts'
import { refuseNewer, schemaVersionOf } from './migrations.ts'
import { RecordsError } from './records-error.ts'

/** Pages between two words about how far it is; also how long the process is busy at a time. */
const PAGES_AT_ONCE = 1_000

/** What a book of record holds: enough to see that a copy holds the same. */
export interface RecordsCounts {
  readonly schema: number
  /** Rows by table. */
  readonly rows: Readonly<Record<string, number>>
  /** When the monitor last said that it was alive, or null. */
  readonly lastAliveMs: number | null
}

export interface CopyParts {
  readonly from: string
  /** Must not exist; is made with mode 0600, and is gone again when anything goes wrong. */
  readonly to: string
  /** 0 to 1. */
  readonly onProgress: (share: number) => void
  /** Done to the copy once it is checked, before it is synced. */
  readonly finish?: (copy: Database) => void
}

/**
 * Copies a database as it stands at one moment, while others go on writing to it, into one file that needs no other.
 *
 * COPY-1 it is consistent: a reading transaction holds that moment until the copy is whole.
 * COPY-2 it is checked: the whole file for its integrity, every table for its count.
 * COPY-3 when this returns it is on disk; when it throws nothing of it is left.
 *
 * @throws {RecordsError} RECORDS_CORRUPT, RECORDS_NEWER, RECORDS_NONE or RECORDS_NO_ROOM
 */
export async function copyRecords({
  from,
  to,
  onProgress,
  finish = () => undefined,
}: CopyParts): Promise<RecordsCounts> {
  const source = openSource(from)
  try {
    source.exec('BEGIN')
    const counts = countRecords(source, from)
    refuseWithoutRoom(from, to)
    makePrivateFile(to)
    await source.backup(to, {
      progress: ({ totalPages, remainingPages }) => {
        onProgress(totalPages === 0 ? 0 : 1 - remainingPages / totalPages)
        return PAGES_AT_ONCE
      },
    })
    onProgress(1)
    checkCopy({ from, to, counts, finish })
    syncFile(to)
    return counts
  } catch (error) {
    for (const part of ['', '-journal', '-wal', '-shm']) rmSync(to + part, { force: true })
    if (error instanceof BetterSqlite3.SqliteError && /^SQLITE_(CORRUPT|NOTADB)/.test(error.code))
      throw corrupt(from, error.message)
    if (error instanceof BetterSqlite3.SqliteError && /^SQLITE_(FULL|IOERR)/.test(error.code))
      throw noRoom(to, error.message)
    throw error
  } finally {
    source.close()
  }
}

function openSource(from: string): Database {
  try {
    return new BetterSqlite3(from, { readonly: true, fileMustExist: true })
  } catch (cause) {
    throw new RecordsError(
      'RECORDS_NONE',
      `there is no book of record at ${from}: look at the name of the file or folder`,
      { cause },
    )
  }
}

/** @throws {RecordsError} RECORDS_NONE where the database is not one of ours */
export function countRecords(db: Database, path: string): RecordsCounts {
  const schema = schemaVersionOf(db)
  refuseNewer(schema, path)
  const tables = db
    .prepare<[], { name: string }>(
      "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name",
    )
    .all()
    .map((row) => row.name)
  if (schema === 0 || !['input', 'kernel_snapshot', 'counter'].every((name) => tables.includes(name)))
    throw new RecordsError(
      'RECORDS_NONE',
      `${path} is no book of record of Nightcap: name a backup that nightcap backup made`,
    )
  const count = (table: string): number =>
    db.prepare<[], { n: number }>(`SELECT count(*) AS n FROM "${table}"`).get()?.n ?? 0
  const alive = db.prepare<[], { value: number }>("SELECT value FROM counter WHERE name = 'aliveMs'").get()
  return {
    schema,
    rows: Object.fromEntries(tables.map((t) => [t, count(t)])),
    lastAliveMs: alive?.value ?? null,
  }
}

function checkCopy({
  from,
  to,
  counts,
  finish,
}: Required<Omit<CopyParts, 'onProgress'>> & { counts: RecordsCounts }): void {
  const copy = new BetterSqlite3(to)
  try {
    // One file that can be carried away by itself.
    copy.pragma('journal_mode = DELETE')
    const verdict = String(copy.pragma('integrity_check(1)', { simple: true }))
    if (verdict !== 'ok') throw corrupt(from, verdict.replace(/\s+/g, ' '))
    const copied = countRecords(copy, to)
    for (const [table, n] of Object.entries(counts.rows)) {
      if (copied.rows[table] !== n)
        throw corrupt(from, `${table}: ${n} rows, ${copied.rows[table] ?? 'none'} in the copy`)
    }
    copy.transaction(() => finish(copy))()
  } finally {
    copy.close()
  }
}

function refuseWithoutRoom(from: string, to: string): void {
  const { bavail, bsize } = statfsSync(dirname(to))
  const needed = statSync(from).size
  if (bavail * bsize < needed)
    throw noRoom(to, `${mega(needed)} are needed, ${mega(bavail * bsize)} are free`)
}

export function syncFile(path: string): void {
  const file = openSync(path, 'r')
  try {
    fsyncSync(file)
  } finally {
    closeSync(file)
  }
}

function mega(bytes: number): string {
  return `${Math.ceil(bytes / 1_000_000)} MB`
}

function corrupt(path: string, reason: string): RecordsError {
  return new RecordsError(
    'RECORDS_CORRUPT',
    `${path} is damaged (${reason}). It was left as it is, and no copy was made. Use an earlier backup`,
  )
}

function noRoom(to: string, reason: string): RecordsError {
  return new RecordsError(
    'RECORDS_NO_ROOM',
    `there is no room for ${to} (${reason}): make room, or name a place on another disk`,
  )
}
