import { join } from 'node:path'
import { readingsTopic } from '../../services/core/model/topics.ts'
import type { DeliveryAttempt } from '../../services/core/model/ports/notice-store.ts'
import type { BookOfRecord } from '../../services/core/model/ports/records.ts'
import type { Settings } from '../../services/core/model/settings.ts'
import { createLog } from '../../services/monitor/log.ts'
import { startMonitor, type RunningMonitor } from '../../services/monitor/start-monitor.ts'
import { freePort } from './free-port.ts'
import { connectClient, type TestClient } from './mqtt-client.ts'
import { signIn, type ShopClient } from './shop-client.ts'
import { createTemporaryFolders } from './temporary-folder.ts'
import { waitFor } from './wait-for.ts'
import { openWaysOut, type WaysOutServers } from './ways-out-servers.ts'
import type { WinterValues } from './winter-shop.ts'

const MIN = 60_000

/** A really started monitor with a clock moved by hand, an embedded broker, and real ways out. */
export interface NightShop {
  readonly monitor: RunningMonitor
  readonly owner: ShopClient
  readonly ownerId: string
  readonly out: WaysOutServers
  /** All that the monitor has logged, at its most talkative. */
  readonly log: () => string
  readonly nowMs: () => number
  readonly pendingNotices: () => number
  readonly attempts: () => Promise<readonly DeliveryAttempt[]>
  /** Registers the device of `out` for the owner. */
  readonly addDevice: () => Promise<void>
  /**
   * Lives from the minute after the last one up to `minute`: each minute one pack, then the clock moves past it, and
   * `settled` waits until all notices have left (or, with `false`, not).
   */
  readonly liveUntil: (minute: number, values: (minute: number) => WinterValues) => Promise<void>
  /** Moves the clock without any word from the node. */
  readonly wait: (ms: number) => Promise<void>
  /** All that can leave now has left. */
  readonly waitSent: () => Promise<void>
  /** Whether every minute waits until all notices have left; true until told otherwise. */
  readonly waitsForSent: (waits: boolean) => void
  readonly close: () => Promise<void>
}

export async function openNightShop(parts: {
  readonly startMs: number
  /** Gets who signs in, and where the ways out are. */
  readonly settings: (ownerId: string, out: WaysOutServers) => Settings
}): Promise<NightShop> {
  const folders = createTemporaryFolders()
  const out = await openWaysOut(folders.make())
  const port = await freePort()
  const url = `http://127.0.0.1:${port}`
  const dataDir = join(folders.make(), 'data')
  let nowMs = parts.startMs
  let minute = -1
  let waits = true
  let book: BookOfRecord | null = null
  const written: string[] = []
  const log = createLog({ level: 'debug', to: { write: (line) => void written.push(line) } })
  const monitor = await startMonitor({
    config: {
      dataDir,
      backupDir: `${dataDir}-backups`,
      keyFile: `${dataDir}-key`,
      // Plain http on loopback is as good as https to a browser.
      publicUrl: url,
      http: {
        host: '127.0.0.1',
        port,
        allowedHosts: [],
        trustedProxies: [],
        secureCookies: false,
        tls: null,
      },
      broker: { kind: 'embedded', host: '127.0.0.1', port: 0, tls: null },
      influx: null,
      historyFrom: 'book' as const,
      heartbeat: null,
      plaintextBeyondLoopback: false,
      logLevel: 'debug',
    },
    log,
    clock: { nowMs: () => nowMs, realMs: (ms) => ms },
    post: out.post,
    prepare: (stores) => (book = stores.book),
  })
  const owner = await signIn(monitor.url, monitor.firstOwnerCode())
  const ownerId = monitor.accounts.people()[0]?.id ?? ''
  await owner.putSettings(parts.settings(ownerId, out))
  const secret = await owner.addNode('bench')
  const node: TestClient = await connectClient(monitor.mqttPort ?? 0, 'bench', { password: secret })
  const topic = readingsTopic('quayside', 'bench')
  const cut = node.untilClosed.then(() => {
    throw new Error(`the broker cut the node off: ${written.join('')}`)
  })
  // It ends so when the shop closes, too.
  cut.catch(() => undefined)
  const pendingNotices = (): number => (book ? book.pendingNotices(99).length : 0)
  const waitSent = (): Promise<true> =>
    waitFor('all notices to leave', () => (pendingNotices() === 0 ? true : null))
  const settle = async (): Promise<void> => {
    await monitor.engine.tick()
    if (waits && pendingNotices() > 0) await waitSent()
  }
  return {
    monitor,
    owner,
    ownerId,
    out,
    log: () => written.join(''),
    nowMs: () => nowMs,
    pendingNotices,
    attempts: async () => {
      const answer = await owner.request('GET', '/api/v1/deliveries?limit=500')
      return ((await answer.json()) as { deliveries: DeliveryAttempt[] }).deliveries
    },
    addDevice: async () => {
      const body = { title: 'Phone', subscription: out.subscription }
      const { status } = await owner.request('POST', '/api/v1/devices', body)
      if (status !== 201) throw new Error(`adding a device answered ${status}`)
    },
    liveUntil: async (until, values) => {
      while (minute < until) {
        minute++
        const atMs = parts.startMs + minute * MIN
        nowMs = Math.max(nowMs, atMs)
        await Promise.race([node.publish(topic, packOf(atMs, values(minute))), cut])
        nowMs = Math.max(nowMs, atMs + 2_500)
        await settle()
      }
    },
    wait: async (ms) => {
      nowMs += ms
      await settle()
    },
    waitSent: async () => void (await waitSent()),
    waitsForSent: (next) => (waits = next),
    close: async () => {
      await node.end()
      await monitor.close()
      out.close()
      folders.removeAll()
    },
  }
}

function packOf(atMs: number, { humidity, temperature, film, spare }: WinterValues): string {
  return JSON.stringify([
    { bn: 'bench/', bt: atMs / 1000, n: 'humidity', u: '%RH', v: humidity },
    { n: 'temperature', u: 'Cel', v: temperature },
    { n: 'film', u: 'W', v: film },
    { n: 'spare', u: 'W', v: spare },
  ])
}
