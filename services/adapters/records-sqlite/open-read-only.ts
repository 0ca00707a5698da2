import BetterSqlite3, { type Database } from 'better-sqlite3'
import { databaseOf } from './take-place.ts'

/**
 * A second connection to the database of a data folder that a monitor of this process has open, for long reading in a
 * thread of its own. It sees what was committed when it begins a transaction, and holds nobody up.
 *
 * @throws {Error} if there is no database.
 */
export function openReadOnly({ dataDir }: { dataDir: string }): Database {
  const db = new BetterSqlite3(databaseOf(dataDir), { readonly: true, fileMustExist: true })
  db.pragma('query_only = ON')
  return db
}
