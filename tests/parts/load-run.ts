import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { connect as connectSocket, type Socket } from 'node:net'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import BetterSqlite3 from 'better-sqlite3'
import { connectAsync, type MqttClient } from 'mqtt'
import { readingsTopic } from '../../services/core/model/topics.ts'
import { openEventClient } from './event-client.ts'
import { freePort } from './free-port.ts'
import { spawnMonitor, type MonitorProcess } from './monitor-process.ts'
import { signIn, type ShopClient } from './shop-client.ts'
import { testSettings } from './shop-settings.ts'

const SITE = 'quayside'
const ROOMS = 40
/** So many secrets are asked for at a time, and so many connections made. */
const AT_ONCE = 25
const HEAP_MB = 128
/** So long waits a node with what its client gave back. */
const GIVEN_BACK_MS = 500
/** So long may a screen take to read what still lies in its line; the next sign of life would come later. */
const READ_OUT_MS = 5_000

export interface LoadPlan {
  /** Each a node of its own, with one humidity sensor that measures once a second. */
  readonly nodes: number
  readonly seconds: number
}

export interface LoadRun {
  /** Readings measured, and those that the book of record does not hold. */
  readonly measured: number
  readonly lost: number
  /** From the moment at which every connection was cut until the last node had a new one and had sent what it kept, ms. */
  readonly backAfterMs: number
  /** Resident memory of the monitor, whose heap may take 128 MB: after a quarter of the run, and at its end. */
  readonly residentMb: { readonly early: number; readonly late: number }
  /** Reading the board while all this goes on: 95th percentile, ms. */
  readonly boardMs: number
  /** Longest wait of an open screen between two words of what is new, ms. */
  readonly longestSilenceMs: number
  /** Screens that stopped reading, and how many of them the monitor has cut. */
  readonly stalled: number
  readonly stalledCut: number
}

/**
 * A shop of many nodes under load, in real time: each sends once a second; half way every connection is cut at once, and
 * all come back together; meanwhile some screens read the board, and some have stopped reading.
 */
export async function runLoad({ nodes, seconds }: LoadPlan): Promise<LoadRun> {
  const dataDir = mkdtempSync(join(tmpdir(), 'nightcap-load-'))
  const mqttPort = await freePort()
  const monitor = await spawnMonitor({
    NIGHTCAP_DATA_DIR: dataDir,
    NIGHTCAP_HTTP_PORT: '0',
    NIGHTCAP_MQTT_PORT: String(mqttPort),
    NIGHTCAP_LOG_LEVEL: 'error',
    // As on a small computer: where there is plenty of room, memory is left lying about and tells nothing of leaks.
    NODE_OPTIONS: `--max-old-space-size=${HEAP_MB}`,
  })
  const sockets: Socket[] = []
  try {
    const owner = await signIn(monitor.url, monitor.firstOwnerCode)
    await owner.putSettings(manyNodes(nodes))
    const names = Array.from({ length: nodes }, (_, i) => nodeName(i))
    const secrets = await inBatches(names, (name) => owner.addNode(name))
    const clients = await inBatches(names, (name, i) => enter(mqttPort, name, secrets[i] ?? ''))
    const screen = await watchScreen(monitor, owner)
    const stalled = 5
    for (let i = 0; i < stalled; i++) sockets.push(await stall(monitor, screen.cookie))

    const load = startLoad(clients, names)
    const early = await restUntil(load.beganMs + (seconds * 1000) / 4, () => residentMb(monitor.pid))
    await restUntil(load.beganMs + (seconds * 1000) / 2, () => 0)
    const cutMs = Date.now()
    await Promise.all(clients.map(cutUntilBack))
    const backAfterMs = Date.now() - cutMs
    await restUntil(load.beganMs + seconds * 1000, () => 0)
    const measured = await load.stop()
    const late = residentMb(monitor.pid)
    const seen = screen.stop()
    for (const client of clients) await client.endAsync()
    const stalledCut = (await Promise.all(sockets.map(wasCut))).filter(Boolean).length
    await monitor.stop()
    return {
      measured,
      lost: measured - heldIn(dataDir),
      backAfterMs,
      residentMb: { early, late },
      ...seen,
      stalled,
      stalledCut,
    }
  } finally {
    for (const socket of sockets) socket.destroy()
    await monitor.kill()
    rmSync(dataDir, { recursive: true, force: true })
  }
}

const nodeName = (i: number): string => `node-${i}`

function manyNodes(nodes: number) {
  const [machine] = testSettings().machines
  return testSettings({
    rooms: Array.from({ length: ROOMS }, (_, i) => ({
      id: i === 0 ? 'floor' : `room-${i}`,
      title: `Room ${i}`,
    })),
    machines: [machine],
    nodes: Array.from({ length: nodes }, (_, i) => ({ id: nodeName(i) })),
    sensors: Array.from({ length: nodes }, (_, i) => ({
      id: `${nodeName(i)}/humidity`,
      quantity: 'humidity',
      subject: { kind: 'room', id: i % ROOMS === 0 ? 'floor' : `room-${i % ROOMS}` },
      intervalMs: 1000,
    })),
  })
}

async function inBatches<T, U>(items: readonly T[], work: (item: T, i: number) => Promise<U>): Promise<U[]> {
  const done: U[] = []
  for (let at = 0; at < items.length; at += AT_ONCE) {
    done.push(...(await Promise.all(items.slice(at, at + AT_ONCE).map((item, i) => work(item, at + i)))))
  }
  return done
}

function enter(port: number, name: string, password: string): Promise<MqttClient> {
  return connectAsync(`mqtt://127.0.0.1:${port}`, {
    clientId: name,
    username: name,
    password,
    clean: false,
    reconnectPeriod: 500,
    connectTimeout: 60_000,
  })
}

/** Cuts a node's line, and waits until it has made a new one: the client says so when all that it kept is acknowledged. */
function cutUntilBack(client: MqttClient): Promise<void> {
  return new Promise((resolve, reject) => {
    const tooLate = setTimeout(() => reject(new Error('a node is not back after two minutes')), 120_000)
    client.once('connect', () => {
      clearTimeout(tooLate)
      resolve()
    })
    client.stream.destroy()
  })
}

/** Every node sends once a second; what is not acknowledged is sent again by the client when it is back. */
function startLoad(
  clients: readonly MqttClient[],
  names: readonly string[],
): { readonly beganMs: number; readonly stop: () => Promise<number> } {
  const beganMs = Date.now()
  const under: Promise<unknown>[] = []
  let measured = 0
  const timers = clients.map((client, i) => {
    const name = names[i] ?? ''
    const topic = readingsTopic(SITE, name)
    let sequence = 0
    let atMs = 0
    const send = (): void => {
      measured++
      // Two in one millisecond would be two values of one moment.
      atMs = Math.max(Date.now(), atMs + 1)
      const pack = [
        { bn: `${name}/`, bt: atMs / 1000, n: 'humidity', u: '%RH', v: 50 + Math.sin(measured) },
        { n: 'pack-sequence', v: ++sequence },
        { n: 'boot', vs: 'load' },
      ]
      under.push(sendUntilKept(client, topic, JSON.stringify(pack)))
    }
    return { first: setTimeout(send, i % 1000), every: setInterval(send, 1000) }
  })
  return {
    beganMs,
    stop: async () => {
      for (const { first, every } of timers) {
        clearTimeout(first)
        clearInterval(every)
      }
      await Promise.all(under)
      return measured
    },
  }
}

/** A client whose line breaks while it catches up gives a message back instead of keeping it: a node sends it again. */
async function sendUntilKept(client: MqttClient, topic: string, payload: string): Promise<void> {
  for (;;) {
    try {
      await client.publishAsync(topic, payload, { qos: 1 })
      return
    } catch {
      await new Promise((resolve) => setTimeout(resolve, GIVEN_BACK_MS))
    }
  }
}

/** A screen that is looked at: reads the board each second, and listens to what is new. */
async function watchScreen(monitor: MonitorProcess, owner: ShopClient) {
  const took: number[] = []
  const { cookie } = owner
  const events = await openEventClient(`${monitor.url}/api/v1/events`, { cookie })
  let lastCount = 0
  let lastMs = Date.now()
  let longestSilenceMs = 0
  const listen = setInterval(() => {
    const count = events.events.length + events.comments.length
    if (count > lastCount) {
      longestSilenceMs = Math.max(longestSilenceMs, Date.now() - lastMs)
      lastMs = Date.now()
      lastCount = count
    }
  }, 50)
  const read = setInterval(() => {
    const begun = performance.now()
    void owner.board().then(
      () => took.push(performance.now() - begun),
      () => took.push(Infinity),
    )
  }, 1000)
  return {
    cookie,
    stop: () => {
      clearInterval(listen)
      clearInterval(read)
      events.hangUp()
      longestSilenceMs = Math.max(longestSilenceMs, Date.now() - lastMs)
      const sorted = took.sort((a, b) => a - b)
      return { boardMs: sorted[Math.ceil(sorted.length * 0.95) - 1] ?? Infinity, longestSilenceMs }
    },
  }
}

/** A screen that asked for events and never reads them. */
function stall(monitor: MonitorProcess, cookie: string): Promise<Socket> {
  const { hostname, port, host } = new URL(monitor.url)
  return new Promise((resolve, reject) => {
    const socket = connectSocket(Number(port), hostname, () => {
      socket.pause()
      socket.write(`GET /api/v1/events HTTP/1.1\r\nHost: ${host}\r\nCookie: ${cookie}\r\n\r\n`, () =>
        resolve(socket),
      )
    })
    socket.once('error', reject)
    socket.once('connect', () => socket.on('error', () => socket.destroy()))
  })
}

/** Does a screen that reads again come to an end of its line? Until it reads, it does not notice. */
function wasCut(socket: Socket): Promise<boolean> {
  return new Promise((resolve) => {
    const goesOn = setTimeout(() => resolve(false), READ_OUT_MS)
    socket.once('close', () => {
      clearTimeout(goesOn)
      resolve(true)
    })
    socket.resume()
  })
}

/** Waits until `untilMs`, then asks. */
async function restUntil<T>(untilMs: number, ask: () => T): Promise<T> {
  await new Promise((resolve) => setTimeout(resolve, Math.max(0, untilMs - Date.now())))
  return ask()
}

function residentMb(pid: number): number {
  const kb = /VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1]
  return Math.round(Number(kb ?? NaN) / 1024)
}

function heldIn(dataDir: string): number {
  const db = new BetterSqlite3(join(dataDir, 'nightcap.sqlite'), { readonly: true })
  try {
    return Number(db.prepare('SELECT count(*) FROM reading').pluck().get())
  } finally {
    db.close()
  }
}
