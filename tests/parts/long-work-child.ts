import { parentPort, workerData } from 'node:worker_threads'
import type { WorkerSaid } from '../../services/monitor/long-work.ts'

/** Long work of a test: it does what its order says. */
const { order } = workerData as { order: 'count' | 'wait' | 'throw' | 'reject' | 'exit' | 'hoard' }
const say = (said: WorkerSaid<number>): void => parentPort?.postMessage(said)

say({ type: 'part', part: 1 })
switch (order) {
  case 'count':
    say({ type: 'share', share: 0.5, doing: 'Counting' })
    say({ type: 'part', part: 2 })
    say({ type: 'done' })
    break
  case 'wait':
    say({ type: 'share', share: 0.25, doing: 'Waiting' })
    // Never hears anything again, as a kernel in the middle of a year.
    Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0)
    break
  case 'throw':
    throw new RangeError('this head has no nozzles')
  case 'reject':
    void Promise.reject(new Error('nobody waited for this'))
    break
  case 'exit':
    process.exit(3)
    break
  case 'hoard': {
    const hoard: string[][] = []
    for (;;) hoard.push(Array.from({ length: 10_000 }, (_, i) => `${hoard.length} ${i}`))
  }
}
