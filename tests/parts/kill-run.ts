import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { connectAsync, type MqttClient } from 'mqtt'
import { createSqliteRecordsReader } from '../../services/adapters/records-sqlite/create-records-reader.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import { readingsTopic } from '../../services/core/model/topics.ts'
import { spawnMonitor, type MonitorProcess } from './monitor-process.ts'
import { signIn } from './shop-client.ts'
import { testSettings } from './shop-settings.ts'
import { untilHeard } from './until-heard.ts'
import { waitFor } from './wait-for.ts'

const NODE = 'bench'
const SITE = 'quayside'
/** Short, so that the one dry spell opens within the run. */
const DRY = { openBelow: 40, closeAbove: 42, onDelayMs: 2_000, offDelayMs: 2_000 }

export interface KillRun {
  readonly kills: number
  /** Readings whose publish was acknowledged. */
  readonly acknowledged: number
  /** Of those, how many are not in the book of record. Must be 0. */
  readonly lost: number
  /** Alarms and tasks of the one dry spell beyond the first of each. Must be 0. */
  readonly doubled: { readonly alarms: number; readonly tasks: number }
}

export interface KillPlan {
  readonly kills: number
  readonly seed: number
  /** Environment of the monitor, and where the node publishes. */
  readonly environment: Record<string, string>
  readonly mqttUrl: string
  /** Makes the node's secret where the broker is not the embedded one. */
  readonly nodeSecret?: string
}

/**
 * Publishes readings without pause while the monitor is killed again and again, then compares what was acknowledged
 * with what the book of record holds. The readings tell of one dry spell that never ends, so one alarm and one task.
 */
export async function runKills({
  kills,
  seed,
  environment,
  mqttUrl,
  nodeSecret,
}: KillPlan): Promise<KillRun> {
  const dataDir = mkdtempSync(join(tmpdir(), 'nightcap-kill-'))
  const env = { ...environment, NIGHTCAP_DATA_DIR: dataDir, NIGHTCAP_LOG_LEVEL: 'error' }
  const draw = drawsOf(seed)
  let monitor: MonitorProcess | null = await spawnMonitor(env)
  const owner = await signIn(monitor.url, monitor.firstOwnerCode)
  const settings = testSettings()
  await owner.putSettings({ ...settings, limits: { ...settings.limits, airDryPct: DRY } })
  const secret = nodeSecret ?? (await owner.addNode(NODE))
  await untilHeard({
    url: mqttUrl,
    site: SITE,
    node: NODE,
    secret,
    nowMs: Date.now,
    heard: async () => (await owner.sensors()).sensors.some((sensor) => sensor.id === `${NODE}/probe`),
  })
  const client = await connectAsync(mqttUrl, {
    clientId: NODE,
    username: NODE,
    password: secret,
    reconnectPeriod: 50,
    clean: false,
  })
  const load = startLoad(client)
  try {
    for (let kill = 0; kill < kills; kill++) {
      const until = load.acknowledged().length + 20
      await waitFor('the load to be under way', () => (load.acknowledged().length >= until ? true : null))
      await new Promise((resolve) => setTimeout(resolve, draw() * 200))
      await monitor?.kill()
      monitor = await spawnMonitor(env)
    }
    await load.stop()
    await allArrived(monitor, load.acknowledged())
    await monitor?.stop()
    monitor = null
    return { kills, ...countUp(dataDir, load.acknowledged()) }
  } finally {
    await client.endAsync(true)
    await monitor?.kill()
    rmSync(dataDir, { recursive: true, force: true })
  }
}

/** Some packs in flight at all times, each with one reading of a dry spell, no two of one millisecond. */
function startLoad(client: MqttClient): { stop: () => Promise<void>; acknowledged: () => readonly number[] } {
  const acknowledged: number[] = []
  let sequence = 0
  let lastMs = 0
  let running = true
  const worker = async (): Promise<void> => {
    while (running) {
      const n = ++sequence
      const atMs = (lastMs = Math.max(lastMs + 1, Date.now()))
      const pack = [
        { bn: `${NODE}/`, bt: atMs / 1000, n: 'humidity', u: '%RH', v: n < 20 ? 50 : 35 },
        { n: 'pack-sequence', v: n },
        { n: 'boot', vs: 'kill-run' },
      ]
      await publishUntilAcknowledged(client, JSON.stringify(pack))
      acknowledged.push(atMs)
      // A broker may acknowledge faster than the monitor takes; some hundred a second are load enough.
      await new Promise((resolve) => setTimeout(resolve, 20))
    }
  }
  const workers = Array.from({ length: 4 }, worker)
  return {
    stop: async () => {
      running = false
      await Promise.all(workers)
    },
    acknowledged: () => acknowledged,
  }
}

/** Waits until the monitor has taken what its broker still held for it: the newest is there and no more comes. */
async function allArrived(monitor: MonitorProcess | null, acknowledged: readonly number[]): Promise<void> {
  if (!monitor) return
  const owner = await signIn(monitor.url, null)
  let before = -1
  await waitFor(
    'all readings to arrive',
    async () => {
      const sensor = (await owner.sensors()).sensors.find((s) => s.id === `${NODE}/humidity`)
      const quiet = sensor?.readings === before
      before = sensor?.readings ?? -1
      await new Promise((resolve) => setTimeout(resolve, 700))
      return quiet && (sensor?.lastAtMs ?? 0) >= Math.max(...acknowledged) ? true : null
    },
    60_000,
  )
}

/** A publish that a lost connection broke off is sent again, as a sensor node would. */
async function publishUntilAcknowledged(client: MqttClient, pack: string): Promise<void> {
  for (;;) {
    const acknowledged = await client.publishAsync(readingsTopic(SITE, NODE), pack, { qos: 1 }).then(
      () => true,
      () => false,
    )
    if (acknowledged) return
    await new Promise((resolve) => setTimeout(resolve, 20))
  }
}

function countUp(dataDir: string, acknowledged: readonly number[]): Omit<KillRun, 'kills'> {
  const db = openDatabase({ dataDir })
  const reader = createSqliteRecordsReader({ db })
  const held = new Set(
    reader
      .series({ sensorId: `${NODE}/humidity`, fromMs: 0, toMs: Date.now(), bucketMs: 1 })
      .map((p) => p.atMs),
  )
  const dry = reader.openAlarms().filter((a) => a.condition === 'airDry')
  const tasks = reader.tasks({ states: ['open', 'overByItself', 'signedOff', 'withdrawn'], limit: 1000 })
  db.close()
  return {
    acknowledged: acknowledged.length,
    lost: acknowledged.filter((atMs) => !held.has(atMs)).length,
    doubled: { alarms: dry.length - 1, tasks: tasks.filter((t) => t.title.includes('air')).length - 1 },
  }
}

/** Draws between 0 and 1 that are the same for the same seed (mulberry32, public domain, from memory). */
function drawsOf(seed: number): () => number {
  let a = seed
  return () => {
    a = (a + 0x6d2b79f5) | 0
    let t = Math.imul(a ^ (a >>> 15), 1 | a)
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
}
