import { createSqliteBookOfRecord } from '../adapters/records-sqlite/create-book-of-record.ts'
import { createSqliteMinuteStore } from '../adapters/records-sqlite/create-minute-store.ts'
import { createSqliteReadingImport } from '../adapters/records-sqlite/create-reading-import.ts'
import { createSqliteRecordsReader } from '../adapters/records-sqlite/create-records-reader.ts'
import { openDatabase } from '../adapters/records-sqlite/open-database.ts'
import { READINGS_KEPT_MS } from '../core/model/readings-kept.ts'
import type { RecordsReader } from '../core/model/ports/records.ts'
import type { Settings } from '../core/model/settings.ts'
import type { ImportParts } from './import-readings.ts'
import type { ShopImportParts } from './import-shop.ts'
import { createKernelKeeper } from './kernel-keeper.ts'

export interface OpenImport extends ImportParts, ShopImportParts {
  readonly reader: RecordsReader
  readonly settings: () => Settings
  readonly close: () => void
}

/**
 * The stores of a data folder that no monitor holds, for bringing something in. An empty one begins, as at a monitor's
 * first start, with settings: those given, or the empty ones.
 *
 * @throws {RecordsError} RECORDS_IN_USE while a monitor holds the folder, and others of `openDatabase`
 */
export function openImport(dataDir: string, nowMs: () => number, first?: Settings): OpenImport {
  const db = openDatabase({ dataDir })
  const book = createSqliteBookOfRecord({ db })
  const keeper = createKernelKeeper(book)
  if (book.lastSeq() === 0) {
    const atMs = nowMs()
    const act = { actorId: 'monitor', via: 'program' as const, atMs }
    const settings = first ?? keeper.state().settings
    book.transaction(() => {
      keeper.take({ type: 'settings', atMs, receivedMs: atMs, act, settings })
      keeper.beforeCommit(atMs)
    })
  }
  return {
    book,
    keeper,
    store: createSqliteReadingImport({ db }),
    reader: createSqliteRecordsReader({ db }),
    minutes: createSqliteMinuteStore({ db }),
    settings: () => keeper.state().settings,
    nowMs,
    keptMs: READINGS_KEPT_MS,
    close: book.close,
  }
}
