import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { createContactChannel } from '../../../../sensors/drivers/contact.ts'
import { createHwmonChannel } from '../../../../sensors/drivers/hwmon.ts'
import { createIioChannel } from '../../../../sensors/drivers/iio.ts'
import type { Sample } from '../../../../sensors/sample.ts'
import { createSimulatedShop } from '../../../../sensors/simulator/create-shop.ts'
import { demoPlan } from '../../../../sensors/simulator/shop-plan.ts'
import { createIioTree } from '../../../../sensors/simulator/write-iio-tree.ts'
import type { Quantity } from '../../../../services/core/model/quantity.ts'

let root = ''
beforeEach(() => {
  root = mkdtempSync(join(tmpdir(), 'nightcap-iio-'))
})
afterEach(() => rmSync(root, { recursive: true, force: true }))

const START = Date.parse('2026-01-14T09:00:00Z')
const sampleOf = (quantity: Quantity, value: number | boolean): Sample => ({
  channel: quantity,
  quantity,
  value,
  atMs: START,
  monotonicMs: 0,
  trustedClock: true,
})

/** The real drivers on a tree, by quantity. */
function driversOf(tree: ReturnType<typeof createIioTree>) {
  const { sysfsRoot, contactPath, calibration } = tree
  return {
    humidity: createIioChannel({ sysfsRoot, quantity: 'humidity' }),
    temperature: createIioChannel({ sysfsRoot, quantity: 'temperature' }),
    mass: createIioChannel({ sysfsRoot, quantity: 'mass', calibration }),
    voltage: createIioChannel({ sysfsRoot, quantity: 'voltage' }),
    power: createHwmonChannel({ sysfsRoot, quantity: 'power' }),
    powered: createContactChannel({ path: contactPath, activeLow: false, debounceMs: 1 }),
  }
}

/** Half a step of what each file can hold (thousandths, a microwatt); for mass a whole raw count, as the weighings are rounded too. */
const RESOLUTION = { humidity: 5.1e-4, temperature: 5.1e-4, mass: 2.4e-6, power: 5.1e-7 } as const

describe('the test tree of kernel sensors', () => {
  it('TREE-1 the real drivers read from it what the simulated shop measured, within the resolution of the files', async () => {
    const plan = demoPlan()
    const shop = createSimulatedShop({ seed: 1, plan, startMs: START })
    const nodes = ['back-air', 'back-wall', 'roll-bench']
    const trees = new Map(nodes.map((id) => [id, createIioTree({ root: join(root, id) })]))
    let compared = 0
    for (let minute = 1; minute <= 60; minute += 7) {
      shop.advanceTo(START + minute * 60_000)
      for (const { nodeId, samples } of shop.takeSamples()) {
        const tree = trees.get(nodeId)
        if (!tree) continue
        tree.update(samples)
        const drivers = driversOf(tree)
        for (const { quantity, value } of new Map(samples.map((s) => [s.quantity, s])).values()) {
          const channel = drivers[quantity === 'current' ? 'voltage' : quantity]
          const read = await channel.read()
          if (!read.ok) throw new Error(read.fault)
          compared++
          if (typeof value === 'boolean') expect(read.value).toBe(value)
          else {
            const allowed = RESOLUTION[quantity as keyof typeof RESOLUTION]
            expect(Math.abs(Number(read.value) - value)).toBeLessThan(allowed)
          }
        }
      }
    }
    expect(compared).toBeGreaterThan(40)
  })

  it('TREE-2 writes the units of the kernel: thousandths, microwatts, counts around the middle of 24 bits', () => {
    const tree = createIioTree({ root })
    tree.update([
      sampleOf('humidity', 41.237),
      sampleOf('temperature', -2.5),
      sampleOf('power', 185.3),
      sampleOf('mass', 2),
    ])
    tree.update([sampleOf('powered', true)])
    const text = (path: string): string => readFileSync(join(root, path), 'utf8')
    expect(text('bus/iio/devices/iio:device0/in_humidityrelative_input')).toBe('41237\n')
    expect(text('bus/iio/devices/iio:device0/in_temp_input')).toBe('-2500\n')
    expect(text('class/hwmon/hwmon0/power1_input')).toBe('185300000\n')
    // The two-point example: raw 8,523,456 at nothing, 9,382,449 at 2 kg.
    expect(text('bus/iio/devices/iio:device1/in_voltage0_raw')).toBe('9382449\n')
    expect(text('bus/iio/devices/iio:device1/in_voltage0_scale')).toBe('0.000002327\n')
    expect(text('bus/iio/devices/iio:device1/name')).toBe('hx711\n')
    expect(readFileSync(tree.contactPath, 'utf8')).toBe('1\n')
    expect(tree.calibration).toMatchObject({ rawZero: 8_523_456, rawKnown: 9_382_449, knownKg: 2 })
  })

  it('TREE-3 an overloaded cell saturates, and the driver calls it a fault instead of a weight', async () => {
    const tree = createIioTree({ root })
    tree.update([sampleOf('mass', 60)])
    expect(await driversOf(tree).mass.read()).toMatchObject({ ok: false })
  })

  it('TREE-4 leaves no half-written file where a reader looks, and a device appears with its first sample', () => {
    const tree = createIioTree({ root })
    expect(readdirSync(root)).toEqual(['.writing'])
    for (let n = 0; n < 20; n++) tree.update([sampleOf('humidity', 40 + n)])
    expect(readdirSync(join(root, 'bus/iio/devices'))).toEqual(['iio:device0'])
    expect(readdirSync(join(root, 'bus/iio/devices/iio:device0')).sort()).toEqual([
      'in_humidityrelative_input',
      'name',
    ])
  })

  it('TREE-5 a quantity that such a computer does not measure is refused by name', () => {
    expect(() => createIioTree({ root }).update([sampleOf('voltage', 1)])).toThrow('quantity must be one of')
  })
})
