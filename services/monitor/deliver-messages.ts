import { machineStateTopic } from '../core/model/topics.ts'
import type { BookOfRecord } from '../core/model/ports/records.ts'

const AT_ONCE = 50

export interface MessageChannels {
  /** Publishes retained; resolves when the broker has it. */
  readonly publishState: (topic: string, body: string) => Promise<void>
  readonly site: () => string
  readonly nowMs: () => number
}

/**
 * Sends what waits in the outbox, oldest first. At least once: a message is marked only after its channel took it, so
 * a crash between the two sends it again, with the same idempotency key.
 *
 * Gives how many were delivered; stops at the first failure, since the broker is then away for the rest as well.
 */
export async function deliverMessages(book: BookOfRecord, channels: MessageChannels): Promise<number> {
  let delivered = 0
  for (const message of book.pendingMessages(AT_ONCE)) {
    const { machine } = message.body
    const topic = machineStateTopic(channels.site(), String(machine))
    const body = JSON.stringify({ ...message.body, idempotencyKey: message.idempotencyKey })
    const sent = await channels.publishState(topic, body).then(
      () => true,
      () => false,
    )
    book.transaction(() => book.markMessage({ id: message.id, delivered: sent, atMs: channels.nowMs() }))
    if (!sent) break
    delivered++
  }
  return delivered
}
