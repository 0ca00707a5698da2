import { parentPort, workerData } from 'node:worker_threads'
import { causesWork, type CausesJob } from './causes-work.ts'
import { rerunWork, type RerunWorkOrder } from './rerun-work.ts'
import type { ThreadOrder } from './work-thread.ts'

const { kind, dataDir, job } = workerData as ThreadOrder
const by = { dataDir, say: (word: unknown): void => parentPort?.postMessage(word) }

/** The thread's own file. To add a kind of work, name it here. */
switch (kind) {
  case 'causes':
    causesWork(job as CausesJob, by)
    break
  case 'rerun':
    rerunWork(job as RerunWorkOrder, by)
    break
  default:
    throw new Error(`there is no work of the kind ${kind}`)
}
