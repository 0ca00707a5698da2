import { type BackOffOptions, createBackOff } from './back-off.ts'
import { type BrokerLink, type BrokerLinkOptions, openBrokerLink } from './broker-link.ts'
import { connectionFailure } from './connection-failure.ts'
import type { NodeLog } from './node-log.ts'
import type { Sample } from './sample.ts'

export interface PublisherOptions extends BrokerLinkOptions {
  readonly log: NodeLog
  readonly backOff?: BackOffOptions
}

export interface Publisher {
  /**
   * PUB-1 the samples of one moment become one pack, numbered from 1, that goes to the outbox at once and to the
   * broker when it can. None, and nothing happens.
   * @throws {RangeError} on a value that is NaN or infinite.
   * @throws {OutboxError} if the outbox refused it; its number is used again.
   */
  readonly publish: (samples: readonly Sample[]) => void
  readonly isConnected: () => boolean
  /** Resolves once nothing waits, at once when nothing does. */
  readonly drained: () => Promise<void>
  /** Says `offline` where it can, and closes. What waits stays in the outbox. */
  readonly stop: () => Promise<void>
}

const BACK_OFF: BackOffOptions = { firstMs: 1_000, mostMs: 30_000 }
/** The same complaint is not repeated before this. */
const SAY_AGAIN_MS = 600_000

/**
 * Brings packs to a broker: QoS 1, in the order of the outbox, at most 16 unacknowledged, each removed when the
 * broker has acknowledged it. Tries again for ever, beginning with the oldest.
 */
export function createPublisher(options: PublisherOptions): Publisher {
  const { outbox, clock, log, url, node } = options
  const backOff = createBackOff(options.backOff ?? BACK_OFF)
  const waiters = new Set<() => void>()
  let link: BrokerLink | null = null
  let retry: NodeJS.Timeout | undefined
  let stopped = false
  let packSequence = 0
  let said = { text: '', atMs: 0 }

  const complain = (text: string): void => {
    const nowMs = clock.monotonicMs()
    if (said.text === text && nowMs - said.atMs < SAY_AGAIN_MS) return
    said = { text, atMs: nowMs }
    log.warn({ node }, `${text} (packs are kept, and tried again)`)
  }
  const connectSoon = (error: unknown): void => {
    link = null
    if (stopped) return
    complain(connectionFailure(error, { url, node }))
    retry = setTimeout(connect, backOff.nextMs())
  }
  const connect = (): void => {
    link = openBrokerLink(options, {
      onUp: () => {
        said = { text: '', atMs: 0 }
        log.info({ node, waitingPacks: outbox.stats().waitingPacks }, 'connected to the broker')
      },
      onGone: () => {
        backOff.reset()
        if (outbox.stats().waitingPacks > 0) return
        for (const wake of waiters) wake()
        waiters.clear()
      },
      onDown: connectSoon,
    })
  }
  connect()

  return {
    publish: (samples) => {
      if (samples.length === 0) return
      for (const { channel, value } of samples) {
        if (typeof value === 'number' && !Number.isFinite(value)) {
          throw new RangeError(`${channel} must be a finite number, got ${value}`)
        }
      }
      outbox.append({ bootId: clock.bootId, packSequence: packSequence + 1, samples })
      packSequence++
      link?.wake()
    },
    isConnected: () => link?.isUp() ?? false,
    drained: () =>
      outbox.stats().waitingPacks === 0
        ? Promise.resolve()
        : new Promise((resolve) => waiters.add(() => resolve())),
    stop: async () => {
      stopped = true
      clearTimeout(retry)
      await link?.close()
    },
  }
}
