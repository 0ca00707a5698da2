import { parentPort, workerData } from 'node:worker_threads'
import type { LongWorkKind, WorkerSaid } from './long-work.ts'
import { rerunWork } from './rerun-work.ts'

/** The thread's own file. To add a kind of long work, name it here. */
const KINDS: Readonly<Record<string, LongWorkKind>> = { rerun: rerunWork }

const { kind, order, context } = workerData as {
  kind: string
  order: unknown
  context: Readonly<Record<string, unknown>>
}
const say = (said: WorkerSaid<unknown>): void => parentPort?.postMessage(said)
const work = KINDS[kind]
if (!work) say({ type: 'failed', reason: `there is no long work of the kind ${kind}` })
else {
  work(order, {
    context,
    share: (share, doing) => say({ type: 'share', share, doing }),
    part: (part) => say({ type: 'part', part }),
  })
  say({ type: 'done' })
}
