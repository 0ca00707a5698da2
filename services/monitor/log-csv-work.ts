import { createSqliteAccountStore } from '../adapters/records-sqlite/create-account-store.ts'
import { createSqliteRecordsReader } from '../adapters/records-sqlite/create-records-reader.ts'
import { openReadOnly } from '../adapters/records-sqlite/open-read-only.ts'
import { cleaningsCsv, headChangesCsv, notesCsv, nozzleChecksCsv, type Written } from '../codecs/log-csv.ts'
import type { LogEntry, LogKind } from '../core/model/log-entry.ts'
import type { LogWindow, RecordsReader } from '../core/model/ports/records.ts'
import type { Settings } from '../core/model/settings.ts'
import { createNames } from '../web/actor-name.ts'
import type { ThreadWork } from './work-thread.ts'

export interface LogCsvJob {
  readonly kind: LogKind
  readonly window: LogWindow
  /** For the titles of things. */
  readonly settings: Settings
}

interface Book {
  readonly records: RecordsReader
  readonly nameOf: (actorId: string) => string | null
}

/** Says a file of entries piece by piece, from one picture of the book. */
export const logCsvWork: ThreadWork<LogCsvJob, string> = (job, { dataDir, say }) => {
  const db = openReadOnly({ dataDir })
  try {
    const accounts = createSqliteAccountStore({ db })
    const nameOf = createNames(accounts)
    db.transaction(() => {
      for (const piece of piecesOf(job, { records: createSqliteRecordsReader({ db }), nameOf })) say(piece)
    })()
  } finally {
    db.close()
  }
}

function piecesOf({ kind, window, settings }: LogCsvJob, { records, nameOf }: Book): Iterable<string> {
  const written = <E extends LogEntry>(entry: E): Written<E> => ({ ...entry, by: nameOf(entry.act.actorId) })
  switch (kind) {
    case 'nozzleCheck':
      return nozzleChecksCsv(records.nozzleChecks(window).map(written), settings)
    case 'care':
      return cleaningsCsv(records.careEntries(window).map(written), settings)
    case 'note':
      return notesCsv(records.notes(window).map(written), settings)
    case 'headChange':
      return headChangesCsv(records.headChanges(window).map(written), settings)
  }
}
