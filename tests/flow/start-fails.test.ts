import { createServer, type Server } from 'node:net'
import type { AddressInfo } from 'node:net'
import { afterEach, describe, expect, it } from 'vitest'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import { parseConfig } from '../../services/monitor/config.ts'
import { startMonitor } from '../../services/monitor/start-monitor.ts'
import { createLog } from '../../services/monitor/log.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'

const folders = createTemporaryFolders()
const servers: Server[] = []
afterEach(async () => {
  await Promise.all(servers.splice(0).map((s) => new Promise((resolve) => s.close(resolve))))
  folders.removeAll()
})

async function listenAt(port: number): Promise<number> {
  const server = createServer()
  servers.push(server)
  await new Promise<void>((resolve, reject) =>
    server.once('error', reject).listen(port, '127.0.0.1', resolve),
  )
  return (server.address() as AddressInfo).port
}

/** A port that nobody has. */
async function freePort(): Promise<number> {
  const port = await listenAt(0)
  await new Promise((resolve) => servers.pop()?.close(resolve))
  return port
}

describe('a monitor that cannot start', () => {
  it('START-1 says which port is taken, and lets go of broker and book of record', async () => {
    const [taken, mqttPort, dataDir] = [await listenAt(0), await freePort(), folders.make()]
    const outcome = parseConfig({
      NIGHTCAP_DATA_DIR: dataDir,
      NIGHTCAP_HTTP_PORT: String(taken),
      NIGHTCAP_MQTT_PORT: String(mqttPort),
    })
    if (!outcome.ok) throw new Error(outcome.problems.join('\n'))
    await expect(
      startMonitor({ config: outcome.config, log: createLog({ level: 'silent' }) }),
    ).rejects.toThrow(
      `NIGHTCAP_HTTP_PORT: the board cannot listen at 127.0.0.1:${taken} (EADDRINUSE): another program has this port: stop it, or choose another port`,
    )
    expect(await listenAt(mqttPort)).toBe(mqttPort)
    openDatabase({ dataDir }).close()
  })

  it('START-1 names the address where it is none of this computer', async () => {
    const outcome = parseConfig({
      NIGHTCAP_DATA_DIR: folders.make(),
      NIGHTCAP_HTTP_HOST: '192.0.2.7',
      NIGHTCAP_HTTP_PORT: '0',
      NIGHTCAP_MQTT_PORT: '0',
    })
    if (!outcome.ok) throw new Error(outcome.problems.join('\n'))
    await expect(
      startMonitor({ config: outcome.config, log: createLog({ level: 'silent' }) }),
    ).rejects.toThrow(
      /^NIGHTCAP_HTTP_HOST: the board cannot listen at 192\.0\.2\.7:0 \(EADDRNOTAVAIL\): give an address of this computer$/,
    )
  })
})
