import BetterSqlite3 from 'better-sqlite3'
import { constants, copyFileSync, existsSync, statSync } from 'node:fs'
import { refuseNewer, schemaVersionOf } from './migrations.ts'
import { reasonOf, RecordsError } from './records-error.ts'

/**
 * Looks through a database before anything is written to it: on a read-only connection, so that a file which is
 * damaged or from a newer release stays as it is, to the last byte.
 *
 * @throws {RecordsError} RECORDS_CORRUPT or RECORDS_NEWER
 */
export function checkFile(path: string): void {
  const damage = damageOf(path)
  if (damage === null) return
  throw new RecordsError(
    'RECORDS_CORRUPT',
    `${path} is damaged (${damage}). It was left as it is${asideWords(path)}. Put a backup in its place, or move it away to begin anew`,
  )
}

/** What is wrong with a database file, or null; changes nothing. @throws {RecordsError} RECORDS_NEWER */
export function damageOf(path: string): string | null {
  const db = new BetterSqlite3(path, { readonly: true, fileMustExist: true })
  try {
    const version = schemaVersionOf(db)
    refuseNewer(version, path)
    const verdict = String(db.pragma('quick_check(1)', { simple: true }))
    return verdict === 'ok' ? null : verdict.replace(/\s+/g, ' ')
  } catch (cause) {
    if (cause instanceof BetterSqlite3.SqliteError && /^SQLITE_(CORRUPT|NOTADB)/.test(cause.code))
      return cause.message
    throw cause
  } finally {
    db.close()
  }
}

/**
 * Copies the damaged file, and what was not yet merged into it, aside. The name comes from the file's own time: a
 * service that starts again and again makes one copy, not a disk full of them.
 */
function asideWords(path: string): string {
  const aside = `${path}.damaged-${Math.round(statSync(path).mtimeMs)}`
  try {
    for (const part of ['', '-wal']) {
      if (existsSync(path + part) && !existsSync(aside + part))
        copyFileSync(path + part, aside + part, constants.COPYFILE_EXCL)
    }
    return `, with a copy at ${aside}`
  } catch (cause) {
    return `; a copy could not be made (${reasonOf(cause)})`
  }
}
