import { readFileSync } from 'node:fs'
import { connectAsync } from 'mqtt'
import { readingsTopic } from '../../services/core/model/topics.ts'
import { freePort } from '../parts/free-port.ts'
import { spawnMonitor } from '../parts/monitor-process.ts'
import { signIn } from '../parts/shop-client.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'

const SETTLE_MS = 10_000
const SECONDS = 60
/** Ticks of /proc/PID/stat a second: USER_HZ, 100 on every Linux of today. */
const TICKS_PER_S = 100

/**
 * What a monitor takes for one shop: the built bundle with a node of four sensors, each a reading every 10 s, and one
 * screen that reads the board every 10 s. The anchor is the aim itself: there is no smaller thing that does the same.
 */
export async function footprintBench() {
  const folders = createTemporaryFolders()
  const port = await freePort()
  const monitor = await spawnMonitor({
    NIGHTCAP_DATA_DIR: folders.make(),
    NIGHTCAP_HTTP_PORT: '0',
    NIGHTCAP_MQTT_PORT: String(port),
    NIGHTCAP_LOG_LEVEL: 'error',
  })
  const owner = await signIn(monitor.url, monitor.firstOwnerCode)
  await owner.putSettings(testSettings())
  const password = await owner.addNode('bench')
  const client = await connectAsync(`mqtt://127.0.0.1:${port}`, {
    clientId: 'bench',
    username: 'bench',
    password,
  })
  const send = (): void => {
    const pack = [
      { bn: 'bench/', bt: Date.now() / 1000, n: 'humidity', u: '%RH', v: 46 },
      { n: 'temperature', u: 'Cel', v: 21.4 },
      { n: 'powered', vb: true },
      { n: 'bottle', u: 'kg', v: 0.9 },
    ]
    void client.publishAsync(readingsTopic('quayside', 'bench'), JSON.stringify(pack), { qos: 1 })
    void owner.board()
  }
  send()
  await rest(SETTLE_MS)
  const timer = setInterval(send, 10_000)
  const before = ticksOf(monitor.pid)
  await rest(SECONDS * 1000)
  const share = (100 * (ticksOf(monitor.pid) - before)) / TICKS_PER_S / SECONDS
  const megabytes = Number(/VmRSS:\s+(\d+) kB/.exec(statusOf(monitor.pid))?.[1]) / 1000
  clearInterval(timer)
  await client.endAsync(true)
  await monitor.stop()
  folders.removeAll()
  return [
    { what: 'memory of the monitor, one shop (resident)', ours: megabytes, anchor: 150, unit: 'MB', aim: 1 },
    { what: 'share of a core, one shop', ours: share, anchor: 2, unit: '%', aim: 1 },
  ]
}

const rest = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms))
const statusOf = (pid: number): string => readFileSync(`/proc/${pid}/status`, 'utf8')

/** Time on a processor so far, its own and the system's for it (proc(5): fields 14 and 15). */
function ticksOf(pid: number): number {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1]?.split(' ') ?? []
  return Number(fields[11]) + Number(fields[12])
}
