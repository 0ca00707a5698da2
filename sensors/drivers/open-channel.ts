import type { ChannelConfig } from '../node-config.ts'
import type { Channel } from './channel.ts'
import { createContactChannel } from './contact.ts'
import { createHwmonChannel } from './hwmon.ts'
import { createIioChannel } from './iio.ts'

/** The channel that a config describes. A new driver is added here and in the schema of the config. */
export function openChannel(config: ChannelConfig, sysfsRoot: string): Channel {
  switch (config.driver) {
    case 'iio':
      return createIioChannel({
        ...chosen(config),
        sysfsRoot,
        quantity: config.quantity,
        ...calibrated(config),
      })
    case 'hwmon':
      return createHwmonChannel({ ...chosen(config), sysfsRoot, quantity: config.quantity })
    case 'contact':
      return createContactChannel(config)
  }
}

type KernelChannel = Exclude<ChannelConfig, { driver: 'contact' }>

function chosen({ device, channel }: KernelChannel): { device?: string; channel?: string } {
  return { ...(device === undefined ? {} : { device }), ...(channel === undefined ? {} : { channel }) }
}

type Calibrated = Pick<Extract<ChannelConfig, { driver: 'iio' }>, 'calibration'>

function calibrated({ calibration }: Calibrated): { calibration?: NonNullable<Calibrated['calibration']> } {
  return calibration === undefined ? {} : { calibration }
}
