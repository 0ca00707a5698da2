import { existsSync } from 'node:fs'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { parseNodeConfig } from '../../../sensors/load-config.ts'
import type { NodeConfig } from '../../../sensors/node-config.ts'
import { createSampler } from '../../../sensors/sampler.ts'
import { dryRun } from '../../../sensors/sense.ts'
import { createHandClock } from '../../parts/node-clock.ts'
import { createSysfsTree, type SysfsTree } from '../../parts/sysfs-tree.ts'

let sysfs: SysfsTree
const AIR = 'bus/iio/devices/iio:device0'
beforeEach(() => {
  sysfs = createSysfsTree()
  sysfs.write(AIR, { name: 'dht11', in_humidityrelative_input: 41_500, in_temp_input: 21_500 })
})
afterEach(() => sysfs.remove('.'))

function config(): NodeConfig {
  const parsed = parseNodeConfig(
    JSON.stringify({
      site: 'quayside',
      node: 'bench',
      broker: { url: 'mqtt://localhost' },
      sysfsRoot: sysfs.root,
      channels: [
        { name: 'humidity', driver: 'iio', quantity: 'humidity' },
        { name: 'temperature', driver: 'iio', quantity: 'temperature' },
        { name: 'meter', driver: 'hwmon', quantity: 'power' },
        {
          name: 'mains',
          driver: 'contact',
          quantity: 'powered',
          path: sysfs.path('gpio/value'),
          debounceMs: 0,
        },
      ],
      outbox: { directory: sysfs.path('outbox') },
    }),
    sysfs.root,
  )
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.problems))
  return parsed.value
}

function notingLog(): {
  lines: string[]
  info: (_: object, text: string) => void
  warn: (_: object, text: string) => void
} {
  const lines: string[] = []
  const note = (_: object, text: string): void => void lines.push(text)
  return { lines, info: note, warn: note }
}

describe('sampling', () => {
  it('SAMPLE-1 a channel that fails is a fault of its own and stops no other', async () => {
    const log = notingLog()
    const clock = createHandClock({ nowMs: Date.UTC(2026, 0, 5), monotonicMs: 77 })
    const sampler = createSampler(config(), { clock, log })
    const samples = await sampler.sample()
    expect(samples.map((s) => [s.channel, s.quantity, s.value])).toEqual([
      ['humidity', 'humidity', 41.5],
      ['temperature', 'temperature', 21.5],
    ])
    expect(samples[0]).toMatchObject({ atMs: clock.nowMs(), monotonicMs: 77, trustedClock: true })
    expect([...sampler.faults().keys()].sort()).toEqual(['mains', 'meter'])
  })

  it('SAMPLE-2 a fault is said when it begins, when it changes and when it ends, not in between', async () => {
    const log = notingLog()
    sysfs.write('gpio', { value: 1 })
    sysfs.write('class/hwmon/hwmon0', { power1_input: 5_000_000 })
    const sampler = createSampler(config(), { clock: createHandClock({ nowMs: 5000 }), log })
    expect((await sampler.sample()).map((s) => s.trustedClock)).toEqual([false, false, false, false])
    expect(log.lines).toEqual([])
    sysfs.write(AIR, { in_temp_input: 'garbage' })
    await sampler.sample()
    await sampler.sample()
    expect(log.lines).toEqual([expect.stringMatching(/^channel temperature: .*not a number/)])
    sysfs.remove(`${AIR}/in_temp_input`)
    await sampler.sample()
    expect(log.lines[1]).toMatch(/^channel temperature: no device gives temperature/)
    sysfs.write(AIR, { in_temp_input: 22_000 })
    await sampler.sample()
    expect(log.lines.slice(2)).toEqual(['channel temperature can be read again'])
    expect(sampler.faults().size).toBe(0)
  })

  it('SAMPLE-3 a dry run tells topic, pack and faults, and opens no outbox', async () => {
    const clock = createHandClock({ nowMs: Date.UTC(2026, 0, 5) })
    const text = await dryRun(config(), { clock, log: notingLog() })
    expect(text).toMatch(/^to nightcap\/v1\/quayside\/node\/bench\/readings\n\[\{"bn":"bench\/"/)
    expect(text).toContain('"n":"humidity","u":"%RH","v":41.5')
    expect(text).toMatch(/fault of meter: no device gives power/)
    sysfs.remove('bus')
    expect(await dryRun(config(), { clock, log: notingLog() })).toMatch(/^nothing to publish\nfault of /)
    expect(existsSync(sysfs.path('outbox'))).toBe(false)
  })
})
