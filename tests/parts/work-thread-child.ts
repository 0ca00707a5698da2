import { parentPort, workerData } from 'node:worker_threads'

/** Work of a test: it does what its job says. */
const { job } = workerData as { job: string }
const say = (word: unknown): void => parentPort?.postMessage(word)

say(1)
switch (job) {
  case 'count':
    for (let n = 2; n <= 1_000; n++) say(n)
    break
  case 'environment':
    say(Object.keys(process.env))
    break
  case 'wait':
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
