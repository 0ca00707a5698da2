import { toSenmlJson } from '../services/codecs/senml.ts'
import { readingsTopic } from '../services/core/model/topics.ts'
import type { NodeClock } from './node-clock.ts'
import type { NodeConfig } from './node-config.ts'
import type { NodeLog } from './node-log.ts'
import { createDiskOutbox } from './outbox/disk-outbox.ts'
import type { OutboxStats } from './outbox/outbox.ts'
import { packSenml } from './pack.ts'
import { createPublisher, type Publisher } from './publish.ts'
import { createSampler } from './sampler.ts'
import type { Sample } from './sample.ts'
import { everyTurn } from './schedule.ts'

export interface SenseOptions {
  readonly secret: string
  /** The authority to trust (PEM), when the config pins one. */
  readonly ca?: string
  readonly log: NodeLog
  readonly clock: NodeClock
  /** Ends the node: the wait is cut short, `offline` is said, the outbox closed. */
  readonly signal: AbortSignal
  /** Who keeps the turns; another keeper lets a recorded past be measured faster than it happened. */
  readonly turns?: typeof everyTurn
}

/**
 * Runs a sensor node until the signal: measures every `everyMs` without drift, keeps each pack on disk until the
 * broker has it. A channel that cannot be read is logged and left out; the others go on.
 *
 * @throws {OutboxError} `OUTBOX_OPEN` if its folder cannot be used.
 */
export async function runSensorNode(config: NodeConfig, options: SenseOptions): Promise<void> {
  const { log, clock, signal } = options
  const outbox = createDiskOutbox({ directory: config.outbox.directory, limits: config.outbox, clock })
  sayWhatWaits(outbox.stats(), log)
  if (config.broker.allowPlaintext && config.broker.url.startsWith('mqtt:')) {
    log.warn({}, 'the secret and all readings cross the network in the clear: allowPlaintext is on')
  }
  const { site, node, everyMs, broker } = config
  const publisher = createPublisher({ ...options, outbox, site, node, everyMs, url: broker.url })
  const sampler = createSampler(config, { clock, log })
  try {
    await (options.turns ?? everyTurn)({ everyMs, clock, signal }, async () =>
      publishSafely(publisher, await sampler.sample(), log),
    )
  } finally {
    await publisher.stop()
    outbox.close()
  }
}

/** Measures once and gives what would be published, as text for a person. Opens no connection and no outbox. */
export async function dryRun(
  config: NodeConfig,
  { log, clock }: Pick<SenseOptions, 'log' | 'clock'>,
): Promise<string> {
  const sampler = createSampler(config, { clock, log })
  const samples = await sampler.sample()
  const { site, node, everyMs } = config
  const waiting = { bootId: clock.bootId, packSequence: 1, samples }
  const pack = packSenml(waiting, { node, everyMs, clock, droppedPacks: 0 })
  const faults = [...sampler.faults()].map(([channel, fault]) => `fault of ${channel}: ${fault}`)
  const published = pack ? [`to ${readingsTopic(site, node)}`, toSenmlJson(pack)] : ['nothing to publish']
  return [...published, ...faults].join('\n')
}

/** A full disk must not end the node: it says so, and measures again at the next turn. */
function publishSafely(publisher: Publisher, samples: readonly Sample[], log: NodeLog): void {
  try {
    publisher.publish(samples)
  } catch (error) {
    log.warn({ err: error }, error instanceof Error ? error.message : 'a pack could not be kept')
  }
}

function sayWhatWaits({ waitingPacks, droppedPacks, tornLines }: OutboxStats, log: NodeLog): void {
  if (waitingPacks > 0) log.info({ waitingPacks }, `${waitingPacks} packs of an earlier run wait to be sent`)
  if (tornLines > 0)
    log.warn({ tornLines }, `${tornLines} torn lines in the outbox were left out: was the power cut?`)
  if (droppedPacks > 0)
    log.warn({ droppedPacks }, `${droppedPacks} packs were dropped from the outbox so far`)
}
