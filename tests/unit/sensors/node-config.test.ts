import { chmodSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import {
  loadAuthority,
  loadNodeConfig,
  loadNodeSecret,
  parseNodeConfig,
} from '../../../sensors/load-config.ts'
import type { NodeConfig } from '../../../sensors/node-config.ts'

let folder = ''
beforeEach(() => (folder = mkdtempSync(join(tmpdir(), 'nightcap-config-'))))
afterEach(() => rmSync(folder, { recursive: true, force: true }))

const YAML = `
site: quayside
node: bench
broker:
  url: mqtts://monitor.lan:8883
  caFile: authority.pem
  secretFile: secret
channels:
  - { name: air, driver: iio, quantity: humidity }
  - name: bottle
    driver: iio
    device: hx711
    channel: in_voltage0
    quantity: mass
    calibration: { rawZero: 8523456, rawKnown: 9382449, knownKg: 2 }
  - { name: meter, driver: hwmon, quantity: power }
  - { name: mains, driver: contact, quantity: powered, path: /sys/class/gpio/gpio17/value, activeLow: true }
outbox: { directory: outbox }
`

function good(): Record<string, unknown> {
  return {
    site: 'quayside',
    node: 'bench',
    broker: { url: 'mqtt://127.0.0.1:1883' },
    channels: [{ name: 'air', driver: 'iio', quantity: 'humidity' }],
    outbox: { directory: 'outbox' },
  }
}
function parsed(change: Record<string, unknown>): NodeConfig {
  const result = parseNodeConfig(JSON.stringify({ ...good(), ...change }), folder)
  if (!result.ok) throw new Error(JSON.stringify(result.problems))
  return result.value
}
function problems(change: Record<string, unknown>): string[] {
  const result = parseNodeConfig(JSON.stringify({ ...good(), ...change }), folder)
  return result.ok ? [] : result.problems.map((p) => `${p.field}: ${p.reason}`)
}

describe('the config of a node', () => {
  it('CONFIG-1 is YAML or JSON; paths count from its folder, the rest has defaults', () => {
    writeFileSync(join(folder, 'node.yaml'), YAML)
    const loaded = loadNodeConfig(join(folder, 'node.yaml'))
    expect(loaded).toMatchObject({
      ok: true,
      value: {
        everyMs: 10_000,
        sysfsRoot: '/sys',
        broker: {
          caFile: join(folder, 'authority.pem'),
          secretFile: join(folder, 'secret'),
          allowPlaintext: false,
        },
        outbox: { directory: join(folder, 'outbox'), maxBytes: 64_000_000 },
      },
    })
    expect(loaded.ok && loaded.value.channels.map((c) => c.driver)).toEqual([
      'iio',
      'iio',
      'hwmon',
      'contact',
    ])
    expect(parsed({}).broker.url).toBe('mqtt://127.0.0.1:1883')
  })

  it('CONFIG-2 a misspelt key is refused by name, wherever it stands', () => {
    expect(problems({ everyMS: 5000 })).toEqual([
      'everyMS: is not a known key: correct its spelling, or leave it out',
    ])
    expect(problems({ broker: { url: 'mqtt://localhost', secretfile: 'x' } })[0]).toMatch(
      /^broker\.secretfile: is not a known key/,
    )
    expect(
      problems({ channels: [{ name: 'a', driver: 'iio', quantity: 'humidity', chanel: 'x' }] })[0],
    ).toMatch(/^channels\[0\]\.chanel: is not a known key/)
  })

  it('CONFIG-3 plaintext beyond this computer is refused unless it is allowed knowingly', () => {
    for (const host of ['localhost', '127.0.0.1', '[::1]'])
      expect(problems({ broker: { url: `mqtt://${host}:1883` } })).toEqual([])
    for (const host of ['192.168.1.5', '0.0.0.0', 'monitor.lan', '127.0.0.1.evil.example']) {
      expect(problems({ broker: { url: `mqtt://${host}:1883` } })).toEqual([
        'broker.url: would send the secret in the clear: use mqtts://, or set allowPlaintext: true knowingly',
      ])
      expect(problems({ broker: { url: `mqtt://${host}:1883`, allowPlaintext: true } })).toEqual([])
      expect(problems({ broker: { url: `mqtts://${host}` } })).toEqual([])
    }
  })

  const wrong: readonly [string, Record<string, unknown>, RegExp][] = [
    ['another protocol', { broker: { url: 'https://x' } }, /^broker\.url: give mqtts:/],
    [
      'a password in the address',
      { broker: { url: 'mqtts://a:b@x' } },
      /^broker\.url: give mqtts:.*without user, password/,
    ],
    ['no address', { broker: { url: 'monitor' } }, /^broker\.url: give/],
    [
      'an authority without encryption',
      { broker: { url: 'mqtt://localhost', caFile: 'x' } },
      /^broker\.caFile: is of no use/,
    ],
    ['a topic word as name', { node: 'status' }, /^node: .* are words of our topics: choose another/],
    ['a name with a slash', { node: 'a/b' }, /^node: use letters, digits/],
    ['no channel', { channels: [] }, /^channels: give at least one/],
    [
      'an unknown driver',
      { channels: [{ name: 'a', driver: 'usb', quantity: 'power' }] },
      /^channels\[0\]\.driver: choose the driver/,
    ],
    [
      'a channel named like a record of the pack',
      { channels: [{ name: 'boot', driver: 'hwmon', quantity: 'power' }] },
      /choose another name/,
    ],
    [
      'mass from hwmon',
      { channels: [{ name: 'a', driver: 'hwmon', quantity: 'mass' }] },
      /^channels\[0\]\.quantity/,
    ],
    [
      'a scale without its weighings',
      { channels: [{ name: 'a', driver: 'iio', quantity: 'mass' }] },
      /^channels\[0\]\.calibration: is missing/,
    ],
    [
      'a folder in an attribute',
      { channels: [{ name: 'a', driver: 'hwmon', quantity: 'power', channel: '../../x' }] },
      /^channels\[0\]\.channel: give the attribute without folder/,
    ],
    [
      'equal weighings',
      {
        channels: [
          {
            name: 'a',
            driver: 'iio',
            quantity: 'mass',
            calibration: { rawZero: 1, rawKnown: 1, knownKg: 1 },
          },
        ],
      },
      /^channels\[0\]\.calibration\.rawKnown: is the same/,
    ],
    ['an outbox without folder', { outbox: {} }, /^outbox\.directory/],
    ['a hurry', { everyMs: 10 }, /^everyMs/],
  ]
  it.each(wrong)('CONFIG-4 %s is refused with field and cure', (_, change, expected) => {
    expect(problems(change)).toEqual([expect.stringMatching(expected)])
  })

  it('CONFIG-5 two channels of one name are refused at the second', () => {
    const air = { name: 'air', driver: 'iio', quantity: 'humidity' }
    expect(problems({ channels: [air, air] })).toEqual([
      'channels[1].name: air is used twice: give each channel its own name',
    ])
  })

  it('CONFIG-6 a file that is missing or no YAML is refused, not thrown', () => {
    expect(loadNodeConfig(join(folder, 'none.yaml'))).toMatchObject({ ok: false })
    expect(parseNodeConfig('a: [', folder)).toMatchObject({ ok: false })
    expect(parseNodeConfig('', folder)).toMatchObject({ ok: false })
  })
})

describe('secret and authority', () => {
  it('SECRET-1 comes from its file, and a file that others may read is refused', () => {
    const config = parsed({ broker: { url: 'mqtt://localhost', secretFile: 'secret' } })
    expect(loadNodeSecret(config, 'given')).toMatchObject({ ok: false })
    writeFileSync(join(folder, 'secret'), 'from-file\n', { mode: 0o600 })
    expect(loadNodeSecret(config, 'given')).toEqual({ ok: true, value: 'from-file' })
    chmodSync(join(folder, 'secret'), 0o640)
    const refused = loadNodeSecret(config, 'given')
    expect(refused).toMatchObject({ ok: false })
    expect(JSON.stringify(refused)).toMatch(/chmod 600/)
    expect(JSON.stringify(refused)).not.toContain('from-file')
  })

  it('SECRET-2 without a file it is the one given, and none is refused with the cure', () => {
    expect(loadNodeSecret(parsed({}), ' given ')).toEqual({ ok: true, value: 'given' })
    expect(JSON.stringify(loadNodeSecret(parsed({}), ''))).toMatch(
      /NIGHTCAP_NODE_SECRET is not set: make a secret/,
    )
    expect(loadNodeSecret(parsed({}), undefined).ok).toBe(false)
  })

  it('SECRET-3 an authority file must hold a certificate', () => {
    const config = parsed({ broker: { url: 'mqtts://x', caFile: 'ca.pem' } })
    expect(loadAuthority(config).ok).toBe(false)
    writeFileSync(join(folder, 'ca.pem'), '-----BEGIN CERTIFICATE-----\nAA\n-----END CERTIFICATE-----\n')
    expect(loadAuthority(config)).toMatchObject({ ok: true, value: expect.stringContaining('AA') as string })
    expect(loadAuthority(parsed({}))).toEqual({ ok: true, value: undefined })
  })
})
