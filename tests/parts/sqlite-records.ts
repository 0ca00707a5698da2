import type { Database } from 'better-sqlite3'
import { createSqliteAccountStore } from '../../services/adapters/records-sqlite/create-account-store.ts'
import { createSqliteBookOfRecord } from '../../services/adapters/records-sqlite/create-book-of-record.ts'
import { createSqliteRecordsReader } from '../../services/adapters/records-sqlite/create-records-reader.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import type { AccountStore } from '../../services/core/model/ports/accounts.ts'
import type { BookOfRecord, RecordsReader } from '../../services/core/model/ports/records.ts'
import { createTemporaryFolders } from './temporary-folder.ts'

export interface SqliteRecords {
  readonly book: BookOfRecord
  readonly reader: RecordsReader
  readonly accounts: AccountStore
}

/** Real databases in folders of their own; `closeAll` closes and removes them. */
export function createSqliteBench(): { open: () => SqliteRecords; closeAll: () => void } {
  const folders = createTemporaryFolders()
  const opened: Database[] = []
  return {
    open: () => {
      const db = openDatabase({ dataDir: folders.make() })
      opened.push(db)
      return {
        book: createSqliteBookOfRecord({ db }),
        reader: createSqliteRecordsReader({ db }),
        accounts: createSqliteAccountStore({ db }),
      }
    },
    closeAll: () => {
      opened.splice(0).forEach((db) => db.close())
      folders.removeAll()
    },
  }
}
