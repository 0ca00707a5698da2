import { parentPort, workerData } from 'node:worker_threads'
import type { CausesJob } from './causes-work.ts'
import type { LogCsvJob } from './log-csv-work.ts'
import type { RerunWorkOrder } from './rerun-work.ts'
import type { ThreadOrder } from './work-thread.ts'

/** The thread's own file. */
const { kind, dataDir, job } = workerData as ThreadOrder
const by = { dataDir, say: (word: unknown): void => parentPort?.postMessage(word) }

/** To add a kind of work, name it here. Only what it needs is loaded: a thread then begins sooner. */
async function work(): Promise<void> {
  switch (kind) {
    case 'causes':
      ;(await import('./causes-work.ts')).causesWork(job as CausesJob, by)
      break
    case 'logCsv':
      ;(await import('./log-csv-work.ts')).logCsvWork(job as LogCsvJob, by)
      break
    case 'rerun':
      ;(await import('./rerun-work.ts')).rerunWork(job as RerunWorkOrder, by)
      break
    default:
      throw new Error(`there is no work of the kind ${kind}`)
  }
}

try {
  await work()
} catch (error) {
  // Errors of the database's driver do not pass from one thread to another: their words do.
  const words = error instanceof Error ? error.message : String(error)
  throw new Error(words, { cause: words })
}
