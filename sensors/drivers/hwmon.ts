import { join } from 'node:path'
import type { Quantity } from '../../services/core/model/quantity.ts'
import { type Channel, fault } from './channel.ts'
import { chooseDevice, listDevices, readNumber, type SysfsDevice } from './sysfs.ts'

/** Quantities that hardware monitoring can give. */
export type HwmonQuantity = Exclude<Quantity, 'powered' | 'mass'>

export interface HwmonChannelConfig {
  readonly sysfsRoot: string
  readonly quantity: HwmonQuantity
  /** `hwmon0`, or better its name. Needed only where several devices could be meant. */
  readonly device?: string
  /** Attribute without its ending, such as `power1`. Needed only where the device has several. */
  readonly channel?: string
}

/** Units of the kernel (Documentation/hwmon/sysfs-interface). Power is microwatts here, unlike in IIO. */
const KINDS: Readonly<Record<HwmonQuantity, { prefix: RegExp; perUnit: number }>> = {
  humidity: { prefix: /^humidity\d+$/, perUnit: 1000 },
  temperature: { prefix: /^temp\d+$/, perUnit: 1000 },
  voltage: { prefix: /^in\d+$/, perUnit: 1000 },
  current: { prefix: /^curr\d+$/, perUnit: 1000 },
  power: { prefix: /^power\d+$/, perUnit: 1_000_000 },
}

/** The hardware monitoring devices of this computer, for choosing one. */
export function discoverHwmon(sysfsRoot: string): Promise<readonly SysfsDevice[]> {
  return listDevices(join(sysfsRoot, 'class/hwmon'), /^hwmon\d+$/)
}

/** Looks for its device at every reading: a sensor may be plugged in again under another number. */
export function createHwmonChannel(config: HwmonChannelConfig): Channel {
  const { prefix, perUnit } = KINDS[config.quantity]
  const channelsOf = ({ attributes }: SysfsDevice): readonly string[] =>
    attributes
      .filter((a) => a.endsWith('_input'))
      .map((a) => a.slice(0, -'_input'.length))
      .filter((name) => (config.channel === undefined ? prefix.test(name) : name === config.channel))
      .sort()
  return {
    read: async () => {
      const device = chooseDevice(await discoverHwmon(config.sysfsRoot), {
        device: config.device,
        wanted: (d) => channelsOf(d).length > 0,
        what: config.channel ?? config.quantity,
      })
      if (!device.ok) return device
      const [channel, ...others] = channelsOf(device.value)
      if (channel === undefined || others.length > 0) {
        const names = [channel, ...others].join(', ')
        return fault(
          `${device.value.id} gives ${config.quantity} on several channels: set channel to one of ${names}`,
        )
      }
      const input = await readNumber(join(device.value.path, `${channel}_input`))
      return input.ok ? { ok: true, value: input.value / perUnit } : input
    },
  }
}
