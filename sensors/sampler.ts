import type { Channel, ChannelReading } from './drivers/channel.ts'
import { openChannel } from './drivers/open-channel.ts'
import { isTrusted, type NodeClock } from './node-clock.ts'
import type { ChannelConfig, NodeConfig } from './node-config.ts'
import type { NodeLog } from './node-log.ts'
import type { Sample } from './sample.ts'

export interface Sampler {
  /** All channels that can be read now. Of the others, a fault is logged when it begins, changes and ends. */
  readonly sample: () => Promise<readonly Sample[]>
  /** What is wrong now, by channel. */
  readonly faults: () => ReadonlyMap<string, string>
}

export function createSampler(
  { channels, sysfsRoot }: Pick<NodeConfig, 'channels' | 'sysfsRoot'>,
  { clock, log }: { clock: NodeClock; log: NodeLog },
): Sampler {
  const opened = channels.map((config) => ({ config, channel: openChannel(config, sysfsRoot) }))
  const faults = new Map<string, string>()
  const noteFault = ({ name }: ChannelConfig, reading: ChannelReading): void => {
    if (reading.ok) {
      if (faults.delete(name)) log.info({ channel: name }, `channel ${name} can be read again`)
    } else if (faults.get(name) !== reading.fault) {
      faults.set(name, reading.fault)
      log.warn({ channel: name }, `channel ${name}: ${reading.fault}`)
    }
  }
  const sampleOne = async ({
    config,
    channel,
  }: {
    config: ChannelConfig
    channel: Channel
  }): Promise<Sample[]> => {
    const reading = await channel.read()
    noteFault(config, reading)
    if (!reading.ok) return []
    const atMs = clock.nowMs()
    return [
      {
        channel: config.name,
        quantity: config.quantity,
        value: reading.value,
        atMs,
        monotonicMs: clock.monotonicMs(),
        trustedClock: isTrusted(atMs),
      },
    ]
  }
  return {
    sample: async () => (await Promise.all(opened.map(sampleOne))).flat(),
    faults: () => faults,
  }
}
