import type { Database } from 'better-sqlite3'
import { createSqliteBookOfRecord } from '../../services/adapters/records-sqlite/create-book-of-record.ts'
import { createSqliteRecordsReader } from '../../services/adapters/records-sqlite/create-records-reader.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import { openPast } from '../../services/adapters/records-sqlite/open-past.ts'
import type { Past } from '../../services/core/model/ports/past.ts'
import type { BookOfRecord, RecordsReader } from '../../services/core/model/ports/records.ts'
import { createTemporaryFolders } from './temporary-folder.ts'

export interface PastBench {
  readonly dataDir: string
  readonly book: BookOfRecord
  readonly reader: RecordsReader
  readonly past: Past
}

/** A real book of record in a folder of its own, and its past as a re-run reads it: on another connection. */
export function createPastBench(): { open: () => PastBench; closeAll: () => void } {
  const folders = createTemporaryFolders()
  const opened: { close: () => unknown }[] = []
  return {
    open: () => {
      const dataDir = folders.make()
      const db: Database = openDatabase({ dataDir })
      const past = openPast({ dataDir })
      opened.push(past, db)
      return {
        dataDir,
        book: createSqliteBookOfRecord({ db }),
        reader: createSqliteRecordsReader({ db }),
        past,
      }
    },
    closeAll: () => {
      for (const { close } of opened.splice(0)) close()
      folders.removeAll()
    },
  }
}
