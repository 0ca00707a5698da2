import { connectAsync, type MqttClient } from 'mqtt'
import { Aedes } from 'aedes'
import { createServer } from 'node:net'
import type { Settings } from '../../services/core/model/settings.ts'
import { readingsTopic } from '../../services/core/model/topics.ts'
import { hasProgram } from '../parts/host.ts'
import { freePort } from '../parts/free-port.ts'
import { spawnMonitor } from '../parts/monitor-process.ts'
import { signIn } from '../parts/shop-client.ts'
import { startMosquitto } from '../parts/mosquitto.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'

/** One-reading packs of about 144 bytes, 200 in flight, for this long after the first second. */
const SECONDS = 6
const IN_FLIGHT = 200
const USERS = { monitor: 'monitor-secret', bench: 'bench-secret' }

/** Acknowledged publishes a second against a bare subscriber that only counts, at the same kind of broker. */
export async function ingestBench() {
  const folders = createTemporaryFolders()
  const embedded = {
    what: 'ingest, embedded broker: parsed, judged, committed with full sync, acknowledged',
    ours: await throughMonitor(folders.make()),
    anchor: await throughBareAedes(),
    unit: 'messages/s',
    aim: 0.65,
  }
  if (!hasProgram('mosquitto')) {
    console.log('mosquitto is missing: apt-get install mosquitto. Its line is left out.')
    folders.removeAll()
    return [embedded]
  }
  const mosquitto = {
    what: 'ingest, Mosquitto: until committed, against a counting subscriber',
    ours: await throughMosquitto(folders.make()),
    anchor: await throughBareMosquitto(),
    unit: 'messages/s',
    aim: 0.5,
  }
  folders.removeAll()
  return [embedded, mosquitto]
}

async function throughMonitor(dataDir: string): Promise<number> {
  const port = await freePort()
  const monitor = await spawnMonitor({
    NIGHTCAP_DATA_DIR: dataDir,
    NIGHTCAP_HTTP_PORT: '0',
    NIGHTCAP_MQTT_PORT: String(port),
    NIGHTCAP_LOG_LEVEL: 'error',
  })
  const owner = await signIn(monitor.url, monitor.firstOwnerCode)
  await owner.putSettings(benchSettings())
  const secret = await owner.addNode('bench')
  const client = await connectAsync(`mqtt://127.0.0.1:${port}`, {
    clientId: 'bench',
    username: 'bench',
    password: secret,
  })
  const rate = await acknowledgedPerSecond(client)
  await client.endAsync(true)
  await monitor.stop()
  return rate
}

async function throughBareAedes(): Promise<number> {
  const broker = await Aedes.createBroker()
  const server = createServer(broker.handle)
  const port = await freePort()
  await new Promise<void>((resolve) => server.listen(port, '127.0.0.1', resolve))
  let counted = 0
  await new Promise<void>((resolve) => broker.subscribe('#', (_packet, next) => (counted++, next()), resolve))
  const client = await connectAsync(`mqtt://127.0.0.1:${port}`, { clientId: 'bench' })
  const rate = await acknowledgedPerSecond(client)
  await client.endAsync(true)
  await new Promise<void>((resolve) => broker.close(resolve))
  server.close()
  if (counted === 0) throw new Error('the bare subscriber counted nothing')
  return rate
}

/** Behind Mosquitto it counts what is committed: the broker acknowledges by itself. */
async function throughMosquitto(dataDir: string): Promise<number> {
  const broker = await startMosquitto({ users: USERS, config: ['max_queued_messages 0'] })
  const monitor = await spawnMonitor({
    NIGHTCAP_DATA_DIR: dataDir,
    NIGHTCAP_HTTP_PORT: '0',
    NIGHTCAP_MQTT_URL: broker.url,
    NIGHTCAP_MQTT_USERNAME: 'monitor',
    NIGHTCAP_MQTT_PASSWORD: USERS.monitor,
    NIGHTCAP_LOG_LEVEL: 'error',
  })
  const owner = await signIn(monitor.url, monitor.firstOwnerCode)
  await owner.putSettings(benchSettings())
  const client = await connectAsync(broker.url, {
    clientId: 'bench',
    username: 'bench',
    password: USERS.bench,
  })
  const committed = async (): Promise<number> => (await owner.sensors()).counts.readings
  const rate = await receivedPerSecond(client, committed)
  await client.endAsync(true)
  await monitor.stop()
  await broker.close()
  return rate
}

async function throughBareMosquitto(): Promise<number> {
  const broker = await startMosquitto({ users: USERS, config: ['max_queued_messages 0'] })
  const subscriber = await connectAsync(broker.url, {
    clientId: 'counting',
    username: 'monitor',
    password: USERS.monitor,
  })
  let counted = 0
  subscriber.on('message', () => counted++)
  await subscriber.subscribeAsync('nightcap/#', { qos: 1 })
  const client = await connectAsync(broker.url, {
    clientId: 'bench',
    username: 'bench',
    password: USERS.bench,
  })
  const rate = await receivedPerSecond(client, async () => counted)
  await client.endAsync(true)
  await subscriber.endAsync(true)
  await broker.close()
  return rate
}

/** Forty rooms, so that each millisecond holds forty readings and event time does not run ahead of the clock. */
const ROOMS = 40
function benchSettings(): Settings {
  const rooms = Array.from({ length: ROOMS }, (_, i) => ({ id: `room-${i}`, title: `Room ${i}` }))
  const sensors = rooms.map(({ id }, i) => ({
    id: `bench/humidity-${i}`,
    quantity: 'humidity',
    subject: { kind: 'room', id },
  }))
  return testSettings({ rooms: [...rooms, { id: 'floor', title: 'Print floor' }], sensors })
}

/** Keeps publishes under way until told to stop; each is one reading, no two alike. */
function startPublishing(client: MqttClient): { acknowledged: () => number; stop: () => Promise<void> } {
  let acknowledged = 0
  const startMs = Date.now()
  let published = 0
  let running = true
  const worker = async (): Promise<void> => {
    while (running) {
      const n = published++
      const atMs = startMs + Math.floor(n / ROOMS)
      const pack = [
        {
          bn: 'bench/',
          bt: atMs / 1000,
          n: `humidity-${n % ROOMS}`,
          u: '%RH',
          v: 45 + (n % 100) / 100,
          ut: 10,
        },
      ]
      await client.publishAsync(readingsTopic('quayside', 'bench'), JSON.stringify(pack), { qos: 1 })
      acknowledged++
    }
  }
  const workers = Array.from({ length: IN_FLIGHT }, worker)
  return {
    acknowledged: () => acknowledged,
    stop: async () => void ((running = false), await Promise.all(workers)),
  }
}

async function acknowledgedPerSecond(client: MqttClient): Promise<number> {
  const load = startPublishing(client)
  const rate = await rateOf(async () => load.acknowledged())
  await load.stop()
  return rate
}

async function receivedPerSecond(client: MqttClient, received: () => Promise<number>): Promise<number> {
  const load = startPublishing(client)
  const rate = await rateOf(received)
  await load.stop()
  return rate
}

async function rateOf(count: () => Promise<number>): Promise<number> {
  await new Promise((resolve) => setTimeout(resolve, 1000))
  const [before, began] = [await count(), performance.now()]
  await new Promise((resolve) => setTimeout(resolve, SECONDS * 1000))
  return (((await count()) - before) / (performance.now() - began)) * 1000
}
