import BetterSqlite3, { type Database } from 'better-sqlite3'
import { existsSync } from 'node:fs'
import { refuseNewer, SCHEMA_VERSION, schemaVersionOf } from './migrations.ts'
import { RecordsError } from './records-error.ts'
import { databaseOf } from './take-place.ts'

/**
 * The database of a data folder, to be read beside a monitor that may be writing. It shows one moment: the one at which
 * the first question is asked.
 *
 * @throws {RecordsError} RECORDS_FOLDER or RECORDS_NEWER, each with its cure
 */
export function openSnapshot(dataDir: string): Database {
  const path = databaseOf(dataDir)
  if (!existsSync(path))
    throw new RecordsError(
      'RECORDS_FOLDER',
      `there is no ${path}: name the monitor's data folder in NIGHTCAP_DATA_DIR`,
    )
  const db = new BetterSqlite3(path, { readonly: true, fileMustExist: true })
  try {
    const version = schemaVersionOf(db)
    refuseNewer(version, path)
    if (version < SCHEMA_VERSION)
      throw new RecordsError(
        'RECORDS_FOLDER',
        `${path} was written by an earlier Nightcap: start the monitor once, so that it is brought up to date`,
      )
    db.exec('BEGIN')
    return db
  } catch (error) {
    db.close()
    throw error
  }
}
