import { connectAsync, type MqttClient } from 'mqtt'
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, describe, expect, it } from 'vitest'
import { createSqliteRecordsReader } from '../../services/adapters/records-sqlite/create-records-reader.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import { readingsTopic } from '../../services/core/model/topics.ts'
import { skipBecause } from '../host/require.ts'
import { freePort } from '../parts/free-port.ts'
import { spawnMonitor, type MonitorProcess } from '../parts/monitor-process.ts'
import { runNightcap } from '../parts/nightcap-command.ts'
import { signIn } from '../parts/shop-client.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { createSmallDisk, type SmallDisk } from '../parts/small-disk.ts'
import { waitFor } from '../parts/wait-for.ts'

const closers: (() => unknown)[] = []
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close()
})

function disk(context: Parameters<typeof skipBecause>[0], mebibytes: number): SmallDisk {
  const made = createSmallDisk(mebibytes)
  if (!made) return skipBecause(context, 'only root may mount a disk')
  closers.push(made.close)
  return made
}

/** Publishes one reading a time, as a node does: again until it is acknowledged. */
function nodeOf(
  url: string,
  secret: string,
): { publish: (atMs: number) => Promise<void>; end: () => Promise<void> } {
  let client: MqttClient | null = null
  const connect = async (): Promise<MqttClient> =>
    connectAsync(url, {
      clientId: 'bench',
      username: 'bench',
      password: secret,
      reconnectPeriod: 0,
      connectTimeout: 2_000,
    })
  const once = async (atMs: number): Promise<boolean> => {
    const pack = JSON.stringify([{ n: 'bench/humidity', u: '%RH', v: 50, t: atMs / 1000 }])
    try {
      if (!client?.connected) client = await connect()
      const open = client
      open.on('error', () => undefined)
      const gone = new Promise<never>((_, reject) => open.once('close', () => reject(new Error('closed'))))
      gone.catch(() => undefined)
      await Promise.race([open.publishAsync(readingsTopic('quayside', 'bench'), pack, { qos: 1 }), gone])
      return true
    } catch {
      return false
    }
  }
  return {
    publish: async (atMs) => {
      while (!(await once(atMs))) await new Promise((resolve) => setTimeout(resolve, 50))
    },
    end: async () => void (await client?.endAsync(true)),
  }
}
const healthOf = async (
  monitor: MonitorProcess,
): Promise<{ status: number; ok: boolean; problems: string[] }> => {
  const answer = await fetch(`${monitor.url}/healthz`)
  return { status: answer.status, ...((await answer.json()) as { ok: boolean; problems: string[] }) }
}

describe('the disk of the data folder', { timeout: 120_000 }, () => {
  it('DISK-1 full while it runs: nothing is acknowledged that is not kept, it says so and shows the board, and goes on by itself when there is room', async (context) => {
    const small = disk(context, 48)
    const [http, mqtt] = [await freePort(), await freePort()]
    const environment = {
      NIGHTCAP_DATA_DIR: small.folder,
      NIGHTCAP_KEY_FILE: join(small.folder, '..', 'key'),
      NIGHTCAP_HTTP_PORT: String(http),
      NIGHTCAP_MQTT_PORT: String(mqtt),
    }
    const monitor = await spawnMonitor(environment)
    closers.push(monitor.kill)
    const owner = await signIn(monitor.url, monitor.firstOwnerCode)
    await owner.putSettings(testSettings())
    const node = nodeOf(`mqtt://127.0.0.1:${mqtt}`, await owner.addNode('bench'))
    closers.push(node.end)
    const startMs = Date.now() - 1_000_000
    const acknowledged: number[] = []
    const publish = async (n: number): Promise<void> => {
      await node.publish(startMs + n)
      acknowledged.push(startMs + n)
    }
    for (let n = 1; n <= 20; n++) await publish(n)

    const filled = small.fill()
    let stopped = false
    const load = (async () => {
      for (let n = 21; !stopped; n++) await publish(n)
    })()
    // How much room is left is looked at every few seconds, and may be told as little before it is none.
    const ill = await waitFor('it to say that nothing can be written, and why', async () => {
      const { status, problems } = await healthOf(monitor)
      const [writes = '', room = ''] = problems
      if (!/nothing can be written to the book of record: .*(full|disk)/.test(writes)) return null
      const full = /the disk of the data folder is full \(0 MB are left\): make room there/
      return full.test(room) ? status : null
    })
    expect(ill).toBe(503)
    await waitFor('the board to say it first of all', async () => {
      const [first = ''] = (await owner.board()).nextSteps
      return /^Nightcap itself needs you: nothing can be written/.test(first) ? true : null
    })
    const refused = await owner.request('POST', '/api/v1/machines/roll/care', { care: 'cleaned' })
    expect(refused.status).toBeGreaterThanOrEqual(500)

    const before = acknowledged.length
    filled.free()
    await waitFor('it to be well again', async () => ((await healthOf(monitor)).ok ? true : null))
    await waitFor('readings to be acknowledged again', () =>
      acknowledged.length > before + 20 ? true : null,
    )
    stopped = true
    await load
    await node.end()
    expect(await monitor.stop()).toBe(0)
    expect(monitor.output()).toContain('a commit failed; nothing of it was acknowledged')
    expect(monitor.output()).toContain('the book of record can be written again')

    const db = openDatabase({ dataDir: small.folder })
    const query = { sensorId: 'bench/humidity', fromMs: 0, toMs: Date.now(), bucketMs: 1 }
    const held = new Set(
      createSqliteRecordsReader({ db })
        .series(query)
        .map((p) => p.atMs),
    )
    expect([
      acknowledged.filter((atMs) => !held.has(atMs)),
      db.pragma('integrity_check', { simple: true }),
    ]).toEqual([[], 'ok'])
    db.close()
  })

  it('DISK-2 read-only at the start: it is refused in words, and not a byte is changed', async (context) => {
    const small = disk(context, 16)
    const environment = { NIGHTCAP_DATA_DIR: small.folder, NIGHTCAP_HTTP_PORT: '0', NIGHTCAP_MQTT_PORT: '0' }
    const monitor = await spawnMonitor(environment)
    expect(await monitor.stop()).toBe(0)
    const content = (): string[] =>
      readdirSync(small.folder)
        .sort()
        .map((name) => `${name} ${readFileSync(join(small.folder, name)).toString('base64')}`)
    const before = content()
    small.makeReadOnly()
    const run = await runNightcap(['serve'], environment)
    expect([run.code, run.output]).toEqual([
      1,
      expect.stringMatching(
        /the data folder \S+ cannot be used \(.*read-?only.*\): give this user the right to write there, make room on the disk, or name another/i,
      ),
    ])
    expect(content()).toEqual(before)
  })

  it('DISK-3 full at the start: it is refused in words, and starts when there is room', async (context) => {
    const small = disk(context, 16)
    const environment = { NIGHTCAP_DATA_DIR: small.folder, NIGHTCAP_HTTP_PORT: '0', NIGHTCAP_MQTT_PORT: '0' }
    const filled = small.fill()
    const run = await runNightcap(['serve'], environment)
    expect([run.code, run.output]).toEqual([
      1,
      expect.stringMatching(/the data folder \S+ cannot be used \(.*\): .*make room on the disk/),
    ])
    filled.free()
    const monitor = await spawnMonitor(environment)
    expect(await monitor.stop()).toBe(0)
  })

  it('DISK-4 too small for a backup: it is refused before anything is written', async (context) => {
    const small = disk(context, 1)
    const roomy = disk(context, 16)
    const environment = { NIGHTCAP_DATA_DIR: roomy.folder, NIGHTCAP_HTTP_PORT: '0', NIGHTCAP_MQTT_PORT: '0' }
    const monitor = await spawnMonitor(environment)
    expect(await monitor.stop()).toBe(0)
    small.fill()
    const run = await runNightcap(['backup', join(small.folder, 'copy.sqlite')], environment)
    expect([run.code, run.output]).toEqual([
      1,
      expect.stringMatching(
        /there is no room for .*copy.sqlite\S* \(.*\): make room, or name a place on another disk/,
      ),
    ])
    expect(readdirSync(small.folder)).toEqual([])
  })
})
