import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import {
  createHwmonChannel,
  discoverHwmon,
  type HwmonChannelConfig,
} from '../../../../sensors/drivers/hwmon.ts'
import { createSysfsTree, type SysfsTree } from '../../../parts/sysfs-tree.ts'

let sysfs: SysfsTree
beforeEach(() => (sysfs = createSysfsTree()))
afterEach(() => sysfs.remove('.'))

function read(
  config: Omit<HwmonChannelConfig, 'sysfsRoot'>,
): ReturnType<ReturnType<typeof createHwmonChannel>['read']> {
  return createHwmonChannel({ ...config, sysfsRoot: sysfs.root }).read()
}

describe('hardware monitoring (Documentation/hwmon/sysfs-interface)', () => {
  beforeEach(() => {
    sysfs.write('class/hwmon/hwmon0', { name: 'sht3x', temp1_input: 31_500, humidity1_input: 45_200 })
    sysfs.write('class/hwmon/hwmon1', {
      name: 'ina226',
      in1_input: 23_980,
      curr1_input: 415,
      power1_input: 9_950_000,
    })
  })

  // 31.5 degC reads 31500: Documentation/hwmon/sht3x.rst.
  const cases = [
    ['temperature', 31.5],
    ['humidity', 45.2],
    ['voltage', 23.98],
    ['current', 0.415],
  ] as const
  it.each(cases)('HWMON-1 %s is thousandths in the kernel: %d', async (quantity, value) => {
    expect(await read({ quantity })).toEqual({ ok: true, value })
  })

  it('HWMON-2 power is microwatts here, unlike in IIO', async () => {
    expect(await read({ quantity: 'power' })).toEqual({ ok: true, value: 9.95 })
  })

  it('HWMON-3 device and channel narrow it down', async () => {
    sysfs.write('class/hwmon/hwmon1', { in2_input: 12_000 })
    const unclear = await read({ quantity: 'voltage', device: 'ina226' })
    expect(unclear).toMatchObject({
      ok: false,
      fault: expect.stringMatching(/set channel to one of in1, in2/) as string,
    })
    expect(await read({ quantity: 'voltage', device: 'ina226', channel: 'in2' })).toEqual({
      ok: true,
      value: 12,
    })
    expect((await discoverHwmon(sysfs.root)).map((d) => d.name)).toEqual(['sht3x', 'ina226'])
  })

  it('HWMON-4 what cannot be read is a fault of the channel', async () => {
    sysfs.write('class/hwmon/hwmon0', { temp1_input: 'N/A' })
    expect(await read({ quantity: 'temperature' })).toMatchObject({ ok: false })
    sysfs.remove('class')
    expect(await read({ quantity: 'temperature' })).toMatchObject({
      ok: false,
      fault: expect.stringMatching(/no device gives temperature/) as string,
    })
  })
})
