import { readFileSync } from 'node:fs'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { createIioChannel, discoverIio, type IioChannelConfig } from '../../../../sensors/drivers/iio.ts'
import { createSysfsTree, type SysfsTree } from '../../../parts/sysfs-tree.ts'

// Sources: sysfs-bus-iio of Linux 6.1, drivers/iio/humidity/si7020.c and drivers/iio/adc/hx711.c.
interface Scaled {
  readonly offset: number
  readonly scale: number
}
interface Vectors {
  readonly si7020: {
    readonly temp: Scaled & { readonly raw_to_milliC: Readonly<Record<string, number>> }
    readonly humidity: Scaled & { readonly raw_to_millipct: Readonly<Record<string, number>> }
  }
  readonly hx711: {
    readonly unsigned_midscale: number
    readonly scale_mV_5V: Readonly<Record<string, string>>
  }
}
const { si7020, hx711 } = JSON.parse(
  readFileSync(new URL('../../../reference/iio_vectors.json', import.meta.url), 'utf8'),
) as Vectors

const AIR = 'bus/iio/devices/iio:device0'
const SCALE = 'bus/iio/devices/iio:device1'
let sysfs: SysfsTree

beforeEach(() => (sysfs = createSysfsTree()))
afterEach(() => sysfs.remove('.'))

function writeAir(change: Record<string, string | number> = {}): void {
  sysfs.write(AIR, {
    name: 'si7020',
    in_temp_raw: 6336,
    in_temp_offset: si7020.temp.offset,
    in_temp_scale: si7020.temp.scale,
    in_humidityrelative_raw: 2883,
    in_humidityrelative_offset: si7020.humidity.offset,
    in_humidityrelative_scale: si7020.humidity.scale,
    ...change,
  })
}

function writeScale(raw: number | string): void {
  const scale = hx711.scale_mV_5V['128'] ?? ''
  sysfs.write(SCALE, {
    name: 'hx711',
    in_voltage0_raw: raw,
    in_voltage1_raw: 8_388_608,
    in_voltage0_scale: scale,
  })
}

function read(
  config: Omit<IioChannelConfig, 'sysfsRoot'>,
): ReturnType<ReturnType<typeof createIioChannel>['read']> {
  return createIioChannel({ ...config, sysfsRoot: sysfs.root }).read()
}

async function value(config: Omit<IioChannelConfig, 'sysfsRoot'>): Promise<number> {
  const reading = await read(config)
  if (!reading.ok) throw new Error(reading.fault)
  return Number(reading.value)
}

async function faultOf(config: Omit<IioChannelConfig, 'sysfsRoot'>): Promise<string> {
  const reading = await read(config)
  if (reading.ok) throw new Error(`read ${reading.value}`)
  return reading.fault
}

describe('air', () => {
  it.each(Object.entries(si7020.temp.raw_to_milliC))(
    'IIO-1 raw temperature %s is %d milli-degC',
    async (raw, milliC) => {
      writeAir({ in_temp_raw: raw })
      expect(await value({ quantity: 'temperature' })).toBeCloseTo(milliC / 1000, 9)
    },
  )

  it.each(Object.entries(si7020.humidity.raw_to_millipct))(
    'IIO-1 raw humidity %s is %d milli-percent',
    async (raw, millipct) => {
      writeAir({ in_humidityrelative_raw: raw })
      expect(await value({ quantity: 'humidity' })).toBeCloseTo(millipct / 1000, 9)
    },
  )

  it('IIO-2 an input attribute is scaled already', async () => {
    sysfs.write(AIR, { name: 'dht11', in_humidityrelative_input: 41_500, in_temp_input: -2_500 })
    expect(await value({ quantity: 'humidity' })).toBe(41.5)
    expect(await value({ quantity: 'temperature' })).toBe(-2.5)
  })
})

describe('voltage, current, power', () => {
  it('IIO-3 thousandths become units, with a scale that the channels share; power is mW', async () => {
    sysfs.write(AIR, {
      name: 'meter',
      in_voltage0_raw: 2300,
      in_voltage_scale: 100,
      in_current0_raw: 450,
      in_current0_scale: '1.000000000',
      in_power0_input: 345_000,
    })
    expect(await value({ quantity: 'voltage' })).toBe(230)
    expect(await value({ quantity: 'current' })).toBe(0.45)
    expect(await value({ quantity: 'power' })).toBe(345)
  })

  it('IIO-4 the bridge converter counts from the middle of 24 bits though it has no offset', async () => {
    writeScale(hx711.unsigned_midscale)
    expect(await value({ quantity: 'voltage', channel: 'in_voltage0' })).toBe(0)
    writeScale(hx711.unsigned_midscale + 429_497)
    // 429,496.7 counts a mV by the data sheet; the kernel's rounded scale is 0.056 % low.
    expect(await value({ quantity: 'voltage', channel: 'in_voltage0' })).toBeCloseTo(0.001 * (1 - 0.00056), 8)
  })

  it('IIO-5 a raw value without a scale means nothing', async () => {
    sysfs.write(AIR, { name: 'adc', in_voltage0_raw: 5 })
    expect(await faultOf({ quantity: 'voltage' })).toMatch(/no scale for in_voltage0/)
  })
})

describe('the scale', () => {
  const calibration = { rawZero: 8_523_456, rawKnown: 9_382_449, knownKg: 2 }
  const mass = { quantity: 'mass', channel: 'in_voltage0', calibration } as const

  it('IIO-6 raw counts become kg by its two weighings', async () => {
    writeScale(8_952_000)
    expect(await value(mass)).toBeCloseTo(0.9977822869, 9)
  })

  it.each([0, 16_777_215])('IIO-7 the end of the range (%d) is a fault, not a mass', async (raw) => {
    writeScale(raw)
    expect(await faultOf(mass)).toMatch(/out of range .*: take weight off/)
  })
})

describe('which device', () => {
  it('IIO-8 is found by name whatever its number', async () => {
    writeScale(8_952_000)
    writeAir()
    expect((await discoverIio(sysfs.root)).map((d) => [d.id, d.name])).toEqual([
      ['iio:device0', 'si7020'],
      ['iio:device1', 'hx711'],
    ])
    expect(await value({ quantity: 'temperature', device: 'si7020' })).toBeCloseTo(21.107, 3)
    expect(await value({ quantity: 'temperature', device: 'iio:device0' })).toBeCloseTo(21.107, 3)
  })

  it('IIO-9 several that could be meant are a fault that names them', async () => {
    writeAir()
    sysfs.write(SCALE, { name: 'bmp280', in_temp_input: 21_000 })
    expect(await faultOf({ quantity: 'temperature' })).toMatch(
      /set device to one of iio:device0 \(si7020\), iio:device1 \(bmp280\)/,
    )
    sysfs.remove(AIR)
    writeScale(8_952_000)
    expect(await faultOf({ quantity: 'voltage' })).toMatch(/set channel to one of in_voltage0, in_voltage1/)
  })

  it('IIO-10 none at all, a wrong name, and a computer without sensors are faults with a cure', async () => {
    expect(await faultOf({ quantity: 'humidity' })).toMatch(
      /no device gives humidity \(found: none\): connect it/,
    )
    writeAir()
    expect(await faultOf({ quantity: 'humidity', device: 'si7021' })).toMatch(
      /there is no device si7021.*si7020/,
    )
    expect(await faultOf({ quantity: 'power' })).toMatch(/no device gives power/)
  })
})

describe('a channel that cannot be read', () => {
  it('IIO-11 garbage, an empty file and a folder in its place are faults of the channel', async () => {
    for (const garbage of ['', 'nan', '0x10', '12 34', '\u0000', '1e5', 'Infinity']) {
      writeAir({ in_temp_raw: garbage })
      expect(await faultOf({ quantity: 'temperature' })).toMatch(/not a number: check the sensor's wiring/)
    }
    sysfs.remove(`${AIR}/in_temp_raw`)
    sysfs.write(`${AIR}/in_temp_raw`, { child: 1 })
    expect(await faultOf({ quantity: 'temperature' })).toMatch(/cannot be read \(EISDIR\)/)
  })

  it('IIO-12 a sensor that is unplugged and comes back is read again, under another number too', async () => {
    writeAir()
    const channel = createIioChannel({ sysfsRoot: sysfs.root, quantity: 'temperature' })
    expect((await channel.read()).ok).toBe(true)
    sysfs.remove(AIR)
    expect((await channel.read()).ok).toBe(false)
    sysfs.write('bus/iio/devices/iio:device7', { name: 'dht11', in_temp_input: 20_000 })
    expect(await channel.read()).toEqual({ ok: true, value: 20 })
  })
})
