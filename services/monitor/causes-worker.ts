import { parentPort, workerData } from 'node:worker_threads'
import { createSqliteNightStore } from '../adapters/records-sqlite/create-night-store.ts'
import { createSqliteRecordsReader } from '../adapters/records-sqlite/create-records-reader.ts'
import { openReadOnly } from '../adapters/records-sqlite/open-read-only.ts'
import { runCausesWork, type CausesJob } from './causes-work.ts'

/** Does one piece of work of Causes in a thread of its own, on one picture of the database, and ends. */
const { dataDir, job } = workerData as { dataDir: string; job: CausesJob }
const db = openReadOnly({ dataDir })
try {
  db.transaction(() =>
    runCausesWork(job, {
      reader: createSqliteRecordsReader({ db }),
      store: createSqliteNightStore({ db }),
      say: (word) => parentPort?.postMessage(word),
    }),
  )()
} finally {
  db.close()
}
