import { spawnSync } from 'node:child_process'
import { EventEmitter } from 'node:events'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { connect, type Socket } from 'node:net'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Client, ConnectPacket } from 'aedes'
import { afterEach, describe, expect, it, vi } from 'vitest'
import { createBrokerGate } from '../../services/adapters/mqtt/broker-gate.ts'
import { createEmbeddedBroker, type EmbeddedBroker } from '../../services/adapters/mqtt/embedded-broker.ts'
import { createSystemClock } from '../../services/adapters/clock/system-clock.ts'
import { readingsTopic, statusTopic } from '../../services/core/model/topics.ts'
import { requireProgram } from '../parts/host.ts'
import { createHeldSink, type HeldSink } from '../parts/held-sink.ts'
import { connectClient, humidityPack, secretOf, type TestClient } from '../parts/mqtt-client.ts'
import { createQuietLog } from '../parts/quiet-log.ts'
import { testSettings } from '../parts/shop-settings.ts'

const machine = { kind: 'machine', id: 'roll' }
const settings = testSettings({
  sensors: [
    { id: 'plug/power', quantity: 'power', subject: machine, foreign: { topicFilter: 'plug/w' } },
    { id: 'plug/on', quantity: 'powered', subject: machine, foreign: { topicFilter: 'plug/relay' } },
    { id: 'spy/on', quantity: 'powered', subject: machine, foreign: { topicFilter: 'plug/#' } },
  ],
})
const READINGS = readingsTopic('quayside', 'bench')
const STATUS = statusTopic('quayside', 'bench')

const opened: { close: () => Promise<void> }[] = []
afterEach(async () => {
  for (const part of opened.splice(0).reverse()) await part.close()
})

interface Rig {
  readonly broker: EmbeddedBroker
  readonly sink: HeldSink
  readonly log: ReturnType<typeof createQuietLog>
  readonly client: (id: string, options?: Parameters<typeof connectClient>[2]) => Promise<TestClient>
}

async function rig(change: Partial<Parameters<typeof createEmbeddedBroker>[0]> = {}): Promise<Rig> {
  const sink = createHeldSink()
  const log = createQuietLog()
  const broker = await createEmbeddedBroker({
    host: '127.0.0.1',
    port: 0,
    verifyNode: (id, secret) => secret === secretOf(id) && !id.startsWith('program'),
    verifyProgram: async (id, secret) => secret === secretOf(id) && id.startsWith('program'),
    settings,
    sink,
    clock: createSystemClock(),
    log,
    ...change,
  })
  opened.push(broker)
  // Closing waits for what is under way.
  opened.push({ close: async () => sink.release() })
  const client: Rig['client'] = async (id, options) => {
    const one = await connectClient(broker.port, id, options)
    opened.push({ close: one.end })
    return one
  }
  return { broker, sink, log, client }
}

describe('acknowledging', () => {
  it('EB-1 a reading is not acknowledged before it is committed', async () => {
    const { sink, client } = await rig()
    const bench = await client('bench')
    sink.hold()
    const sent = bench.start(READINGS, humidityPack('bench', 41))
    await sink.untilOffered(1)
    // Another client comes and goes through the same broker meanwhile.
    await (await client('shelf')).end()
    expect(sent.acknowledged()).toBe(false)
    sink.release()
    await vi.waitFor(() => expect(sent.acknowledged()).toBe(true))
    expect(sink.sensorIds()).toEqual(['bench/humidity'])
  })

  it('EB-1 many wait for one commit together, so that a group commit can gather them', async () => {
    const { sink, client } = await rig()
    const bench = await client('bench')
    sink.hold()
    const sent = Array.from({ length: 20 }, (_, i) => bench.start(READINGS, humidityPack('bench', 40 + i)))
    await vi.waitFor(() => expect(sink.waiting()).toBe(20))
    sink.release()
    await vi.waitFor(() => expect(sent.every((s) => s.acknowledged())).toBe(true))
  })

  it('EB-1 when the commit fails there is no acknowledgement, the connection is closed, and the client sends again', async () => {
    const { sink, client, log } = await rig()
    const bench = await client('bench', { reconnectPeriod: 20, clean: false })
    sink.fail()
    const sent = bench.start(READINGS, humidityPack('bench', 41))
    await bench.untilClosed
    expect(sent.acknowledged()).toBe(false)
    await sink.untilOffered(2)
    expect(sent.acknowledged()).toBe(false)
    sink.release()
    await vi.waitFor(() => expect(sent.acknowledged()).toBe(true))
    expect(sink.committed).toHaveLength(1)
    expect(log.lines.filter((l) => l.includes('could not be committed'))).toHaveLength(1)
  })

  it('takes QoS 0, and QoS 2 once', async () => {
    const { sink, client } = await rig()
    const bench = await client('bench')
    await bench.publish(READINGS, humidityPack('bench', 41), { qos: 2 })
    await bench.publish(READINGS, humidityPack('bench', 42), { qos: 0 })
    await sink.untilOffered(2)
    expect(sink.committed.map((m) => m.readings?.readings[0]?.value)).toEqual([41, 42])
  })

  it('EB-3 what can never be valid is counted and acknowledged, or it would come back for ever', async () => {
    const { sink, client } = await rig()
    const bench = await client('bench')
    await bench.publish(READINGS, 'humidity=41')
    await bench.publish(READINGS, Buffer.alloc(300_000, 'x'))
    expect(sink.codes()).toEqual(['notJson', 'payloadTooLarge'])
    expect(bench.client.connected).toBe(true)
  })

  it('lets what is under way be committed and acknowledged before it stops', async () => {
    const { broker, sink, client } = await rig()
    const bench = await client('bench')
    sink.hold()
    const sent = bench.start(READINGS, humidityPack('bench', 41))
    await sink.untilOffered(1)
    const closed = broker.close()
    sink.release()
    await closed
    await bench.untilClosed
    await vi.waitFor(() => expect(sent.acknowledged()).toBe(true))
    await expect(client('shelf')).rejects.toThrow()
  })
})

describe('who comes in', () => {
  it.each<[string, string, object, number, RegExp]>([
    ['a wrong secret', 'bench', { password: 'guess' }, 4, /secret is wrong or was revoked/],
    ['no secret', 'bench', { password: undefined, username: undefined }, 4, /no user name or secret/],
    ['a client id that is not the name', 'bench', { clientId: 'bench-2' }, 2, /set it to bench/],
    ['a node named like a topic word', 'status', {}, 4, /secret is wrong/],
    ['a node named with a wildcard', '+', {}, 4, /secret is wrong/],
    [
      'a will on the topic of another',
      'bench',
      { will: { topic: statusTopic('quayside', 'shelf'), payload: 'offline' } },
      5,
      /last will/,
    ],
  ])('%s is refused, and the log says why', async (_, id, options, code, reason) => {
    const { client, log } = await rig()
    await expect(client(id, options)).rejects.toMatchObject({ code })
    await vi.waitFor(() => expect(log.lines.join('\n')).toMatch(reason))
    expect(log.whole()).not.toMatch(/guess|secret of/)
  })

  it('a program cannot end the connection of a node by taking its client id', async () => {
    const { client } = await rig()
    const bench = await client('bench')
    await client('program-a', { clientId: 'bench' })
    await bench.publish(READINGS, humidityPack('bench', 41))
  })

  it('a revoked node is put out', async () => {
    const { broker, client } = await rig()
    const [bench, shelf] = [await client('bench'), await client('shelf')]
    broker.disconnect({ kind: 'node', id: 'bench' })
    await bench.untilClosed
    expect(shelf.client.connected).toBe(true)
  })

  it('no more connections than allowed', async () => {
    const { client } = await rig({ maxConnections: 1 })
    await client('bench')
    await expect(client('shelf')).rejects.toThrow()
  })

  it('one secret cannot take the places of all: of seventeen connections of a device the oldest is ended', async () => {
    const { client, log } = await rig()
    const plugs: TestClient[] = []
    for (let n = 0; n < 17; n++) plugs.push(await client('plug', { clientId: `plug-${n}` }))
    await plugs[0]?.untilClosed
    expect(plugs.slice(1).every((plug) => plug.client.connected)).toBe(true)
    expect(log.lines.join('\n')).toContain('too many connections')
    await client('bench')
  })

  it.each([
    ['plug', 'plug-1', true],
    ['bench', 'bench', false],
  ])('of %s as %s nothing is kept once it is away: %s', async (username, clientId, clean) => {
    const gate = createBrokerGate({
      verifyNode: () => true,
      verifyProgram: () => false,
      settings,
      sink: createHeldSink(),
      clock: createSystemClock(),
      log: createQuietLog(),
    })
    const packet = { cmd: 'connect', clientId, clean: false, username, password: Buffer.from('x') }
    const client = { id: '', conn: new EventEmitter() } as unknown as Client
    await new Promise((done) => gate.preConnect(client, packet as ConnectPacket, done))
    expect(packet.clean).toBe(clean)
  })

  it('a connection that does not say who it is, is closed', async () => {
    const { broker } = await rig({ connectTimeoutMs: 50 })
    const socket = rawSocket(broker.port)
    await new Promise<void>((resolve) => socket.once('close', () => resolve()))
  })

  it('a stranger who announces a large packet is cut off, and nothing is counted', async () => {
    const { broker, sink } = await rig()
    const socket = rawSocket(broker.port)
    socket.write(Buffer.from([0x10, 0xff, 0xff, 0xff, 0x7f]))
    await new Promise<void>((resolve) => socket.once('close', () => resolve()))
    expect(sink.offered).toEqual([])
  })

  it('MQTT 3.1.1 section 3.1.2.10: a client silent for one and a half times its keep-alive is closed', async () => {
    const { broker, sink } = await rig()
    const socket = rawSocket(broker.port)
    const text = (s: string): number[] => [0, s.length, ...Buffer.from(s)]
    const body = [
      ...text('MQTT'),
      4,
      0xc6,
      0,
      1,
      ...text('bench'),
      ...text(STATUS),
      ...text('offline'),
      ...text('bench'),
      ...text(secretOf('bench')),
    ]
    socket.write(Buffer.from([0x10, body.length, ...body]))
    await new Promise<void>((resolve) => socket.once('close', () => resolve()))
    await sink.untilOffered(1)
    expect(sink.offered[0]?.status).toEqual({ nodeId: 'bench', online: false })
  })

  it('beyond this computer without TLS only if told, and then it says so', async () => {
    await expect(rig({ host: '0.0.0.0' })).rejects.toMatchObject({ code: 'PLAINTEXT_REFUSED' })
    const { broker } = await rig({ host: '0.0.0.0', allowPlaintext: true })
    expect(broker.problems()).toEqual([expect.stringContaining('not encrypted')])
  })

  it('with a certificate it speaks TLS, and clients can check it', async (context) => {
    requireProgram(context, 'openssl')
    const folder = mkdtempSync(join(tmpdir(), 'nightcap-tls-'))
    opened.push({ close: async () => rmSync(folder, { recursive: true }) })
    const [certFile, keyFile] = [join(folder, 'cert.pem'), join(folder, 'key.pem')]
    const names = ['-subj', '/CN=localhost', '-addext', 'subjectAltName=DNS:localhost']
    const made = spawnSync('openssl', [
      'req',
      '-x509',
      '-newkey',
      'ec',
      '-pkeyopt',
      'ec_paramgen_curve:P-256',
      '-nodes',
      '-days',
      '2',
      '-keyout',
      keyFile,
      '-out',
      certFile,
      ...names,
    ])
    expect(made.status).toBe(0)
    const { sink, client, broker } = await rig({ host: '0.0.0.0', tls: { certFile, keyFile } })
    expect(broker.problems()).toEqual([])
    const bench = await client('bench', { protocol: 'mqtts', host: 'localhost', ca: readFileSync(certFile) })
    await bench.publish(READINGS, humidityPack('bench', 41))
    expect(sink.sensorIds()).toEqual(['bench/humidity'])
    await expect(client('shelf', { protocol: 'mqtts', host: 'localhost' })).rejects.toThrow(/self-signed/)
    await expect(rig({ tls: { certFile: join(folder, 'none.pem'), keyFile } })).rejects.toThrow(
      /none\.pem: give a PEM file/,
    )
  })

  it('a port that is taken is told with the cure', async () => {
    const { broker } = await rig()
    await expect(rig({ port: broker.port })).rejects.toMatchObject({
      code: 'MQTT_LISTEN_FAILED',
      message: expect.stringContaining('choose another port') as string,
    })
  })
})

describe('who may publish and hear what', () => {
  it.each([
    readingsTopic('quayside', 'shelf'),
    statusTopic('quayside', 'shelf'),
    readingsTopic('harbour', 'bench'),
    'nightcap/v1/quayside/machine/roll/state',
    'nightcap/v1/quayside/node/bench/readings/more',
    'plug/w',
    '$SYS/heartbeat',
  ])('EB-2 a node that publishes to %s is cut, and it is counted', async (topic) => {
    const { sink, client } = await rig()
    const bench = await client('bench')
    const sent = bench.start(topic, humidityPack('shelf', 41))
    await bench.untilClosed
    expect(sent.acknowledged()).toBe(false)
    expect(sink.committed.map((m) => [m.readings, m.rejections.map((r) => [r.topic, r.code])])).toEqual([
      [null, [[topic, 'topicUnknown']]],
    ])
  })

  it.each(['#', '+/+', READINGS, 'nightcap/v1/quayside/machine/+/state', '$SYS/#', `$share/g/${READINGS}`])(
    'a node that subscribes to %s is refused',
    async (filter) => {
      const { client } = await rig()
      const bench = await client('bench')
      await expect(bench.client.subscribeAsync(filter)).rejects.toThrow()
      expect(bench.client.connected).toBe(true)
    },
  )

  it('a program hears the state of machines, also what was said before it came, and nothing else', async () => {
    const { broker, client } = await rig()
    const state = 'nightcap/v1/quayside/machine/roll/state'
    await broker.publishState(state, '{"powered":true}')
    const program = await client('program-a', { clean: false })
    const heard: string[] = []
    program.client.on('message', (topic, payload, packet) =>
      heard.push(`${topic} ${payload.toString()} ${packet.retain}`),
    )
    await program.client.subscribeAsync('nightcap/v1/quayside/machine/+/state', { qos: 1 })
    await vi.waitFor(() => expect(heard).toEqual([`${state} {"powered":true} true`]))
    await broker.publishState(state, '{"powered":false}')
    await vi.waitFor(() => expect(heard).toHaveLength(2))
    for (const filter of [
      '#',
      'nightcap/#',
      READINGS,
      'nightcap/v1/+/machine/+/state',
      'nightcap/v1/quayside/machine/#',
    ]) {
      await expect(program.client.subscribeAsync(filter)).rejects.toThrow()
    }
    const bench = await client('bench')
    await bench.publish(READINGS, humidityPack('bench', 41))
    await bench.publish(STATUS, 'online', { retain: true })
    expect(heard).toHaveLength(2)
  })

  it('a program publishes nothing', async () => {
    const { sink, client } = await rig()
    const program = await client('program-a')
    program.start('nightcap/v1/quayside/machine/roll/state', '{}')
    await program.untilClosed
    expect(sink.codes()).toEqual(['topicUnknown'])
  })

  it('a foreign device speaks on the topics of its bindings, under any client id, and for its own sensors alone', async () => {
    const { sink, client } = await rig()
    const plug = await client('plug', { clientId: 'factory-0815' })
    await plug.publish('plug/relay', 'on', { retain: true })
    await plug.publish('plug/w', '80.5')
    expect(sink.sensorIds()).toEqual(['plug/on', 'plug/power'])
    const spy = await client('spy')
    await spy.publish('plug/relay', 'off')
    expect(sink.sensorIds()).toEqual(['plug/on', 'plug/power', 'spy/on'])
    plug.start('plug/secret', '1')
    await plug.untilClosed
    expect(sink.codes()).toEqual(['topicUnknown'])
  })

  it('a new binding counts at once', async () => {
    const { broker, sink, client } = await rig()
    broker.updateSettings(
      testSettings({
        sensors: [{ id: 'hall/w', quantity: 'power', subject: machine, foreign: { topicFilter: 'hall/w' } }],
      }),
    )
    await (await client('hall')).publish('hall/w', '12')
    expect(sink.sensorIds()).toEqual(['hall/w'])
  })

  it('EB-4 a retained reading is counted in quarantine; status may be retained', async () => {
    const { sink, client } = await rig()
    const bench = await client('bench')
    await bench.publish(READINGS, humidityPack('bench', 41), { retain: true })
    await bench.publish(STATUS, 'online', { retain: true })
    expect(sink.codes()).toEqual(['retainedReading'])
    expect(sink.committed.map((m) => m.status)).toEqual([null, { nodeId: 'bench', online: true }])
  })

  it('the last will of a node that breaks off says offline; of one that says goodbye nothing is said', async () => {
    const { sink, client } = await rig()
    const will = { topic: STATUS, payload: 'offline', qos: 1 as const, retain: true }
    const polite = await client('bench', { will })
    await polite.client.endAsync()
    const bench = await client('bench', { will })
    bench.client.stream.destroy()
    await sink.untilOffered(1)
    await (await client('shelf')).end()
    expect(sink.offered.map((m) => m.status)).toEqual([{ nodeId: 'bench', online: false }])
  })

  it('a payload of 10 MB is cut off when it is announced, counted, and others go on', async () => {
    const { sink, client } = await rig()
    const [bench, shelf] = [await client('bench'), await client('shelf')]
    await bench.publish(READINGS, humidityPack('bench', 41))
    const sent = bench.start(READINGS, Buffer.alloc(10_000_000, 'x'))
    await bench.untilClosed
    expect(sent.acknowledged()).toBe(false)
    expect(sink.codes()).toEqual(['payloadTooLarge'])
    expect(sink.committed.at(-1)?.rejections[0]).toMatchObject({ topic: READINGS, sample: 'x'.repeat(1024) })
    await shelf.publish(readingsTopic('quayside', 'shelf'), humidityPack('shelf', 41))
    expect(sink.sensorIds()).toEqual(['bench/humidity', 'shelf/humidity'])
  })
})

function rawSocket(port: number): Socket {
  const socket = connect(port, '127.0.0.1')
  socket.on('error', () => undefined)
  socket.resume()
  return socket
}
