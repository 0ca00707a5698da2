import { connectAsync } from 'mqtt'
import { afterEach, describe, expect, it } from 'vitest'
import { createSqliteRecordsReader } from '../../services/adapters/records-sqlite/create-records-reader.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import { readingsTopic } from '../../services/core/model/topics.ts'
import { freePort } from '../parts/free-port.ts'
import { spawnMonitor } from '../parts/monitor-process.ts'
import { signIn } from '../parts/shop-client.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'
import { waitFor } from '../parts/wait-for.ts'

const folders = createTemporaryFolders()
afterEach(folders.removeAll)

const STOPS_WITHIN_MS = 10_000

describe('SIGTERM to a monitor that is at work', { timeout: 60_000 }, () => {
  it('STOP-1 ends with 0 within ten seconds, screens and nodes connected, and holds all that it acknowledged', async () => {
    const dataDir = folders.make()
    const [http, mqtt] = [await freePort(), await freePort()]
    const monitor = await spawnMonitor({
      NIGHTCAP_DATA_DIR: dataDir,
      NIGHTCAP_HTTP_PORT: String(http),
      NIGHTCAP_MQTT_PORT: String(mqtt),
    })
    const owner = await signIn(monitor.url, monitor.firstOwnerCode)
    await owner.putSettings(testSettings())
    const secret = await owner.addNode('bench')
    // A screen that stays open.
    const stream = await owner.request('GET', '/api/v1/events')
    expect(stream.status).toBe(200)
    const client = await connectAsync(`mqtt://127.0.0.1:${mqtt}`, {
      clientId: 'bench',
      username: 'bench',
      password: secret,
      reconnectPeriod: 0,
    })
    client.on('error', () => undefined)
    const acknowledged: number[] = []
    const startMs = Date.now() - 3_600_000
    const load = (async () => {
      const gone = new Promise<'gone'>((resolve) => client.once('close', () => resolve('gone')))
      for (let n = 1; client.connected; n++) {
        const atMs = startMs + n
        const pack = [{ n: 'bench/humidity', u: '%RH', v: 50, t: atMs / 1000 }]
        const sent = client.publishAsync(readingsTopic('quayside', 'bench'), JSON.stringify(pack), { qos: 1 })
        const outcome = await Promise.race([
          sent.then(
            () => 'acknowledged' as const,
            () => 'gone' as const,
          ),
          gone,
        ])
        if (outcome === 'acknowledged') acknowledged.push(atMs)
      }
    })()
    await waitFor('the load to be under way', () => (acknowledged.length > 50 ? true : null))
    const beganMs = performance.now()
    const code = await monitor.stop()
    expect(code).toBe(0)
    expect(performance.now() - beganMs).toBeLessThan(STOPS_WITHIN_MS)
    await load
    await client.endAsync(true)
    await stream.body?.cancel().catch(() => undefined)

    const db = openDatabase({ dataDir })
    const query = { sensorId: 'bench/humidity', fromMs: 0, toMs: Date.now(), bucketMs: 1 }
    const held = new Set(
      createSqliteRecordsReader({ db })
        .series(query)
        .map((p) => p.atMs),
    )
    expect(acknowledged.filter((atMs) => !held.has(atMs))).toEqual([])
    expect(db.pragma('integrity_check', { simple: true })).toBe('ok')
    db.close()
  })
})
