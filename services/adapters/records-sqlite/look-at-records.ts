import BetterSqlite3, { type Database } from 'better-sqlite3'
import { existsSync } from 'node:fs'
import { createSqliteAccountStore } from './create-account-store.ts'
import { createSqliteRecordsReader } from './create-records-reader.ts'
import { damageOf } from './check-file.ts'
import { SCHEMA_VERSION, schemaVersionOf } from './migrations.ts'
import { databaseOf } from './take-place.ts'
import type { Settings } from '../../core/model/settings.ts'

export type RecordsLook =
  /** No monitor has run here yet. */
  | { readonly state: 'none' }
  | { readonly state: 'damaged'; readonly path: string; readonly damage: string }
  /** Of an earlier release; the next start brings it up to date. */
  | { readonly state: 'earlier'; readonly path: string; readonly schema: number }
  | {
      readonly state: 'good'
      readonly path: string
      readonly owners: number
      /** Null before the first settings. */
      readonly settings: Settings | null
    }

/**
 * Looks into a data folder without changing or locking anything; a monitor may be running there.
 *
 * @throws {RecordsError} RECORDS_NEWER, with the cure.
 */
export function lookAtRecords(dataDir: string): RecordsLook {
  const path = databaseOf(dataDir)
  if (!existsSync(path)) return { state: 'none' }
  const damage = damageOf(path)
  if (damage !== null) return { state: 'damaged', path, damage }
  const db = new BetterSqlite3(path, { readonly: true, fileMustExist: true })
  try {
    const schema = schemaVersionOf(db)
    return schema === SCHEMA_VERSION
      ? { state: 'good', path, ...inside(db) }
      : { state: 'earlier', path, schema }
  } finally {
    db.close()
  }
}

function inside(db: Database): { owners: number; settings: Settings | null } {
  const people = createSqliteAccountStore({ db }).people()
  const [newest] = createSqliteRecordsReader({ db }).settingsHistory(1)
  return {
    owners: people.filter((p) => p.role === 'owner' && p.removedMs === null).length,
    settings: newest?.settings ?? null,
  }
}
