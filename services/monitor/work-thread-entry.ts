import { parentPort, workerData } from 'node:worker_threads'
import { causesWork, type CausesJob } from './causes-work.ts'
import { logCsvWork, type LogCsvJob } from './log-csv-work.ts'
import { rerunWork, type RerunWorkOrder } from './rerun-work.ts'
import type { ThreadOrder } from './work-thread.ts'

/** The thread's own file. */
const { kind, dataDir, job } = workerData as ThreadOrder
const by = { dataDir, say: (word: unknown): void => parentPort?.postMessage(word) }

/** To add a kind of work, name it here. */
function work(): void {
  switch (kind) {
    case 'causes':
      causesWork(job as CausesJob, by)
      break
    case 'logCsv':
      logCsvWork(job as LogCsvJob, by)
      break
    case 'rerun':
      rerunWork(job as RerunWorkOrder, by)
      break
    default:
      throw new Error(`there is no work of the kind ${kind}`)
  }
}

try {
  work()
} catch (error) {
  // Errors of the database's driver do not pass from one thread to another: their words do.
  const words = error instanceof Error ? error.message : String(error)
  throw new Error(words, { cause: words })
}
