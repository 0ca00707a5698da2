import type { NodeClock } from '../node-clock.ts'
import { createBoundedQueue, firstSampleOf } from './bounded-queue.ts'
import type { Outbox, OutboxEntry, OutboxLimits } from './outbox.ts'

/** An outbox that forgets when the process ends: for the simulator and for tests. */
export function createMemoryOutbox(options: { limits: OutboxLimits; clock: NodeClock }): Outbox {
  const queue = createBoundedQueue<OutboxEntry>(options)
  let nextId = 1
  return {
    append: (pack) => {
      const entry = { ...pack, id: nextId }
      const firstSample = firstSampleOf(pack)
      queue.push({
        id: nextId++,
        bytes: JSON.stringify(entry).length,
        bootId: pack.bootId,
        firstSample,
        held: entry,
      })
    },
    peek: (query) => {
      queue.prune()
      return queue.after(query)
    },
    remove: (id) => void queue.remove(id),
    drop: (id) => void queue.drop(id),
    stats: () => ({ ...queue.counts(), tornLines: 0 }),
    close: () => undefined,
  }
}
