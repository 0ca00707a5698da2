import { setTimeout as pause } from 'node:timers/promises'
import type { Clock } from '../../services/core/model/ports/clock.ts'
import type { NodeClock } from '../node-clock.ts'
import type { NodeLog } from '../node-log.ts'
import { createMemoryOutbox } from '../outbox/memory-outbox.ts'
import { createPublisher, type Publisher } from '../publish.ts'
import type { SimulatedShop } from './create-shop.ts'

export interface LivePublishing {
  readonly shop: SimulatedShop
  /** Where the broker listens: `mqtt://127.0.0.1:1883`. */
  readonly url: string
  readonly site: string
  /** Every simulated node with its secret. */
  readonly secrets: ReadonlyMap<string, string>
  /** The shop lives by it; a scaled clock makes a night pass in minutes. */
  readonly clock: Clock
  readonly signal: AbortSignal
  readonly log: NodeLog
  /** Simulated time between two readings of a sensor. */
  readonly cadenceMs?: number
}

const LIVE_CADENCE_MS = 10_000
/** On a fast clock packs do not come thicker than this in real time: they hold several readings of a sensor instead. */
const LEAST_WAIT_MS = 200
const LARGEST_PACK = 500
const OUTBOX_LIMITS = { maxBytes: 4_000_000, maxAgeMs: 24 * 3_600_000 }

/**
 * Publishes the simulated shop as real nodes would: a connection for each node, SenML packs at QoS 1, through the
 * very publisher of the sensor node. Runs until `signal` aborts; then every node says `offline` and closes.
 * A node that is dark in the simulation sends nothing, and stays connected.
 *
 * @throws {RangeError} if the shop measures with a node that has no secret.
 */
export async function runLivePublisher(options: LivePublishing): Promise<void> {
  const { shop, clock, signal, cadenceMs = LIVE_CADENCE_MS } = options
  const waitMs = Math.max(LEAST_WAIT_MS, clock.realMs(cadenceMs))
  const everyMs = Math.round((waitMs * cadenceMs) / clock.realMs(cadenceMs))
  const nodes = new Map(
    [...options.secrets].map(([id, secret]) => [id, openNode(id, { ...options, secret, everyMs })]),
  )
  try {
    while (!signal.aborted) {
      shop.advanceTo(clock.nowMs(), { cadenceMs })
      for (const { nodeId, samples } of shop.takeSamples()) {
        const node = nodes.get(nodeId)
        if (!node) throw new RangeError(`secrets must name every simulated node, ${nodeId} is missing`)
        for (let at = 0; at < samples.length; at += LARGEST_PACK)
          node.publish(samples.slice(at, at + LARGEST_PACK))
      }
      await pause(waitMs, undefined, { signal }).catch(() => undefined)
    }
  } finally {
    await Promise.all([...nodes.values()].map((node) => node.stop()))
  }
}

function openNode(
  node: string,
  {
    url,
    site,
    clock,
    log,
    secret,
    everyMs,
  }: LivePublishing & { readonly secret: string; readonly everyMs: number },
): Publisher {
  const nodeClock: NodeClock = {
    bootId: `simulated-${clock.nowMs()}`,
    nowMs: clock.nowMs,
    monotonicMs: clock.nowMs,
  }
  const outbox = createMemoryOutbox({ limits: OUTBOX_LIMITS, clock: nodeClock })
  return createPublisher({ url, site, node, secret, outbox, clock: nodeClock, everyMs, log })
}
