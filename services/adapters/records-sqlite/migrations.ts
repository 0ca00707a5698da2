import type { Database } from 'better-sqlite3'
import { RecordsError } from './records-error.ts'
import { SCHEMA_1 } from './schema-1.ts'
import { SCHEMA_2 } from './schema-2.ts'
import { SCHEMA_3 } from './schema-3.ts'

/** One entry a schema version, oldest first. A migration that was released is never changed. */
const MIGRATIONS: readonly string[] = [SCHEMA_1, SCHEMA_2, SCHEMA_3]

export const SCHEMA_VERSION = MIGRATIONS.length

/** The schema a database has; 0 is an empty one. */
export function schemaVersionOf(db: Database): number {
  return Number(db.pragma('user_version', { simple: true }))
}

/** @throws {RecordsError} RECORDS_NEWER */
export function refuseNewer(version: number, path: string): void {
  if (version <= SCHEMA_VERSION) return
  throw new RecordsError(
    'RECORDS_NEWER',
    `${path} was written by a newer Nightcap (schema ${version}, this one knows ${SCHEMA_VERSION}): start the newer release, or put back a backup from before the change`,
  )
}

/** Brings a database to the newest schema, each step in a transaction of its own. @throws {RecordsError} RECORDS_NEWER */
export function migrate(db: Database): void {
  const version = schemaVersionOf(db)
  refuseNewer(version, db.name)
  MIGRATIONS.slice(version).forEach((sql, i) => {
    db.transaction(() => {
      db.exec(sql)
      db.pragma(`user_version = ${version + i + 1}`)
    }).immediate()
  })
}
