import { join } from 'node:path'
import type { Quantity } from '../../services/core/model/quantity.ts'
import { type Calibration, calibratedKg } from '../calibration.ts'
import { type Channel, type ChannelReading, fault } from './channel.ts'
import { chooseDevice, type Found, listDevices, readNumber, type SysfsDevice } from './sysfs.ts'

/** Quantities that IIO can give. The powered contact is no measurement. */
export type IioQuantity = Exclude<Quantity, 'powered'>

export interface IioChannelConfig {
  readonly sysfsRoot: string
  readonly quantity: IioQuantity
  /** `iio:device0`, or better its name, such as `hx711`. Needed only where several devices could be meant. */
  readonly device?: string
  /** Attribute without its ending, such as `in_voltage0`. Needed only where the device has several. */
  readonly channel?: string
  /** From raw counts to kg: for mass, and for nothing else. */
  readonly calibration?: Calibration
}

/**
 * How to find a quantity's attributes, and what to divide by: after scaling, the kernel gives thousandths of degC,
 * %RH, V, A and W (Documentation/ABI/testing/sysfs-bus-iio). Power is mW here, unlike in hwmon.
 */
const KINDS: Readonly<Record<IioQuantity, { prefix: RegExp; perUnit: number }>> = {
  humidity: { prefix: /^in_humidityrelative\d*$/, perUnit: 1000 },
  temperature: { prefix: /^in_temp\d*(_ambient)?$/, perUnit: 1000 },
  voltage: { prefix: /^in_voltage\d+$/, perUnit: 1000 },
  current: { prefix: /^in_current\d*$/, perUnit: 1000 },
  power: { prefix: /^in_power\d*$/, perUnit: 1000 },
  mass: { prefix: /^in_voltage\d+$/, perUnit: 1 },
}

/** Load cell amplifier whose driver gives unsigned counts around this middle, and no offset attribute (hx711.c). */
const BRIDGE_CONVERTER = 'hx711'
const BRIDGE_MIDDLE = 8_388_608
const BRIDGE_LARGEST = 16_777_215

/** The industrial I/O devices of this computer, for choosing one. */
export function discoverIio(sysfsRoot: string): Promise<readonly SysfsDevice[]> {
  return listDevices(join(sysfsRoot, 'bus/iio/devices'), /^iio:device\d+$/)
}

/** Looks for its device at every reading: a sensor may be plugged in again under another number. */
export function createIioChannel(config: IioChannelConfig): Channel {
  return {
    read: async () => {
      const devices = await discoverIio(config.sysfsRoot)
      const device = chooseDevice(devices, {
        device: config.device,
        wanted: (d) => channelsOf(d, config).length > 0,
        what: config.channel ?? config.quantity,
      })
      if (!device.ok) return device
      const [channel, ...others] = channelsOf(device.value, config)
      if (channel === undefined || others.length > 0) {
        const names = [channel, ...others].join(', ')
        return fault(
          `${device.value.id} gives ${config.quantity} on several channels: set channel to one of ${names}`,
        )
      }
      return config.quantity === 'mass'
        ? readMass(device.value, channel, config.calibration)
        : readScaled(device.value, channel, KINDS[config.quantity].perUnit)
    },
  }
}

function channelsOf({ attributes }: SysfsDevice, { quantity, channel }: IioChannelConfig): readonly string[] {
  const names = attributes.flatMap((a) => {
    const match = /^(.*)_(raw|input)$/.exec(a)
    const name = match?.[1]
    return name !== undefined &&
      (channel === undefined ? KINDS[quantity].prefix.test(name) : name === channel)
      ? [name]
      : []
  })
  return [...new Set(names)].sort()
}

async function readMass(
  device: SysfsDevice,
  channel: string,
  calibration: Calibration | undefined,
): Promise<ChannelReading> {
  const raw = await readNumber(join(device.path, `${channel}_raw`))
  if (!raw.ok) return raw
  const overRange = overRangeFault(device, raw.value)
  if (overRange !== null) return fault(overRange)
  if (!calibration)
    return fault(`mass without calibration: weigh nothing and a known weight (raw now ${raw.value})`)
  return { ok: true, value: calibratedKg(calibration, raw.value) }
}

async function readScaled(device: SysfsDevice, channel: string, perUnit: number): Promise<ChannelReading> {
  if (device.attributes.includes(`${channel}_input`)) {
    const input = await readNumber(join(device.path, `${channel}_input`))
    return input.ok ? { ok: true, value: input.value / perUnit } : input
  }
  const raw = await readNumber(join(device.path, `${channel}_raw`))
  if (!raw.ok) return raw
  const overRange = overRangeFault(device, raw.value)
  if (overRange !== null) return fault(overRange)
  const scale = await readShared(device, channel, 'scale')
  if (!scale.ok) return scale
  const noOffset = device.name === BRIDGE_CONVERTER ? -BRIDGE_MIDDLE : 0
  const offset = await readShared(device, channel, 'offset', noOffset)
  if (!offset.ok) return offset
  return { ok: true, value: ((raw.value + offset.value) * scale.value) / perUnit }
}

/** `in_voltage0_scale`, or `in_voltage_scale` that all channels of the type share. */
async function readShared(
  device: SysfsDevice,
  channel: string,
  ending: string,
  absent?: number,
): Promise<Found<number>> {
  const names = [`${channel}_${ending}`, `${channel.replace(/\d+/g, '')}_${ending}`]
  const name = names.find((n) => device.attributes.includes(n))
  if (name !== undefined) return readNumber(join(device.path, name))
  if (absent !== undefined) return { ok: true, value: absent }
  return {
    ok: false,
    fault: `${device.id} says no ${ending} for ${channel}: its raw value means nothing, use another channel`,
  }
}

/** A saturated converter gives its smallest or largest count: overload, or a wire of the load cell is off. */
function overRangeFault(device: SysfsDevice, raw: number): string | null {
  if (device.name !== BRIDGE_CONVERTER || (raw > 0 && raw < BRIDGE_LARGEST)) return null
  return `${device.id} is out of range (raw ${raw}): take weight off, and check the load cell's wires`
}
