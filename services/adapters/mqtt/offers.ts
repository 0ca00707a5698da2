import type { IngestSink, JudgedMessage } from '../../core/model/ports/ingest.ts'

/** Hands messages to the sink and knows which are still under way. */
export interface Offers {
  readonly offer: IngestSink['offer']
  /** Resolves when none is under way any more, whatever came of them. */
  readonly settled: () => Promise<void>
}

export function createOffers(sink: IngestSink): Offers {
  const pending = new Set<Promise<void>>()
  return {
    offer: (message: JudgedMessage) => {
      const offered = sink.offer(message).finally(() => pending.delete(offered))
      pending.add(offered)
      return offered
    },
    settled: async () => {
      while (pending.size > 0) await Promise.allSettled(pending)
    },
  }
}
