import { connectAsync, type MqttClient } from 'mqtt'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { readingsTopic } from '../../services/core/model/topics.ts'
import { freePort } from '../parts/free-port.ts'
import { spawnMonitor, type MonitorProcess } from '../parts/monitor-process.ts'
import { signIn, type ShopClient } from '../parts/shop-client.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'
import { waitFor } from '../parts/wait-for.ts'

const folders = createTemporaryFolders()
let monitor: MonitorProcess
let owner: ShopClient
let secret: string
let url: string

beforeAll(async () => {
  const mqttPort = await freePort()
  monitor = await spawnMonitor({
    NIGHTCAP_DATA_DIR: folders.make(),
    NIGHTCAP_HTTP_PORT: '0',
    NIGHTCAP_MQTT_PORT: String(mqttPort),
    NIGHTCAP_LOG_LEVEL: 'error',
  })
  owner = await signIn(monitor.url, monitor.firstOwnerCode)
  await owner.putSettings(testSettings())
  secret = await owner.addNode('bench')
  url = `mqtt://127.0.0.1:${mqttPort}`
}, 60_000)
afterAll(async () => {
  await monitor?.stop()
  folders.removeAll()
})

const connect = (change: Record<string, unknown> = {}): Promise<MqttClient> =>
  connectAsync(url, {
    clientId: 'bench',
    username: 'bench',
    password: secret,
    reconnectPeriod: 0,
    connectTimeout: 5_000,
    ...change,
  })
const TOPIC = readingsTopic('quayside', 'bench')
const nowS = (): number => Date.now() / 1000
const reading = (change: Record<string, unknown>): string =>
  JSON.stringify([{ n: 'bench/humidity', u: '%RH', t: nowS(), v: 45, ...change }])

/** The monitor still takes what is right: its newest reading of this sensor becomes `value`. */
async function stillWorks(value: number): Promise<void> {
  const client = await connect()
  await client.publishAsync(TOPIC, reading({ v: value }), { qos: 1 })
  await client.endAsync()
  await waitFor('the reading to be there', async () =>
    (await owner.sensors()).sensors.find((s) => s.id === 'bench/humidity')?.lastValue === value ? true : null,
  )
}

async function quarantined(code: string, topic = TOPIC): Promise<string> {
  const entry = await waitFor(
    `${code} in quarantine`,
    async () => (await owner.sensors()).quarantine.find((q) => q.code === code && q.topic === topic) ?? null,
  )
  expect(entry.reason.length).toBeGreaterThan(15)
  expect(entry.sample.length).toBeLessThanOrEqual(1024)
  return entry.reason
}

describe('bad input at a running monitor', { timeout: 30_000 }, () => {
  it.each([
    ['not JSON', 'humidity=45', 'notJson', /JSON/],
    ['JSON of the wrong shape', '{"humidity":45}', 'notSenml', /array/],
    ['a unit that means something else', reading({ u: '%' }), 'unitWrong', /%RH/],
    ['NaN', '[{"n":"bench/humidity","u":"%RH","v":NaN}]', 'notJson', /JSON/],
    ['an infinity', '[{"n":"bench/humidity","u":"%RH","v":1e999}]', 'valueWrong', /finite|infinit|number/i],
    ['an impossible value', reading({ v: 140 }), 'valueWrong', /0 to 100/],
    ['a name outside the alphabet', reading({ n: 'bench/hüm' }), 'notSenml', /letters|name/],
    ['a record of another node', reading({ n: 'window/humidity' }), 'recordNameWrong', /bench/],
    ['a time in 1978, before any clock of ours', reading({ t: 2 ** 28 }), 'clockBehind', /clock/],
    ['a time in 2100', reading({ t: Date.UTC(2100, 0, 1) / 1000 }), 'clockAhead', /clock/],
    // RFC 8428 section 4.5.3: below 2^28 s a time is relative, so one that means 1970 is far ahead.
    ['a time that means 1970', reading({ t: 86_400 }), 'clockAhead', /clock/],
  ])('%s is acknowledged, and quarantined with field and cure', async (_what, payload, code, reason) => {
    const client = await connect()
    await client.publishAsync(TOPIC, payload, { qos: 1 })
    await client.endAsync()
    expect(await quarantined(code)).toMatch(reason)
  })

  it('a retained reading is quarantined', async () => {
    const client = await connect()
    await client.publishAsync(TOPIC, reading({}), { qos: 1, retain: true })
    await client.endAsync()
    await quarantined('retainedReading')
  })
  it('10 MB are cut off and counted', async () => {
    const client = await connect()
    client.on('error', () => undefined)
    void client.publishAsync(TOPIC, Buffer.alloc(10_000_000, 'x'), { qos: 1 }).catch(() => undefined)
    await quarantined('payloadTooLarge')
    await client.endAsync(true)
  })
  it.each([
    ['an unknown topic', 'nightcap/v1/quayside/node/bench/temperature'],
    ["another node's topic", readingsTopic('quayside', 'window')],
    ['the state of a machine', 'nightcap/v1/quayside/machine/roll/state'],
  ])('%s is refused, the connection ends, and it is counted', async (_what, topic) => {
    const client = await connect()
    const closed = new Promise((resolve) => client.once('close', () => resolve(true)))
    client.on('error', () => undefined)
    void client.publishAsync(topic, reading({}), { qos: 1 }).catch(() => undefined)
    await closed
    await quarantined('topicUnknown', topic)
    await client.endAsync(true)
  })
  it('a wrong password is refused', async () => {
    await expect(connect({ password: 'wrong' })).rejects.toThrow(/Not authorized|Bad username|refused/i)
  })
  it.each([
    ['a node named like a topic word', { nodes: [{ id: 'status' }] }, /nodes/, /words of our topics/],
    ['a misspelt key', { limts: {} }, /limts/, /limts|Unrecognized|no such/i],
    [
      'a binding that reaches into our topics',
      {
        sensors: [
          {
            id: 'hut/air',
            quantity: 'humidity',
            subject: { kind: 'room', id: 'floor' },
            foreign: { topicFilter: 'nightcap/#' },
          },
        ],
      },
      /topicFilter/,
      /nightcap/,
    ],
  ])(
    'settings with %s are refused, naming the field and the cure',
    async (_what, change, pointer, detail) => {
      const answer = await owner.request('PUT', '/api/v1/settings', { ...testSettings(), ...change })
      expect(answer.status).toBe(422)
      const { errors } = (await answer.json()) as { errors: { pointer: string; detail: string }[] }
      expect(errors.some((e) => pointer.test(e.pointer) && detail.test(e.detail))).toBe(true)
    },
  )
  it('and after all that, the monitor takes what is right, and is well', async () => {
    await stillWorks(46.25)
    const health = await fetch(`${monitor.url}/healthz`)
    expect(await health.json()).toMatchObject({ ok: true })
  })
})
