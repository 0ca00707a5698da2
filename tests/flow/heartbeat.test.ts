import { readFileSync } from 'node:fs'
import { once } from 'node:events'
import { createServer } from 'node:https'
import type { AddressInfo } from 'node:net'
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest'
import { createHttpPost } from '../../services/adapters/http-post/create-http-post.ts'
import { createHeartbeat, type Heartbeat } from '../../services/monitor/heartbeat.ts'
import { parseConfig } from '../../services/monitor/config.ts'
import { createLog } from '../../services/monitor/log.ts'
import { startMonitor } from '../../services/monitor/start-monitor.ts'
import { createAuthority, type Authority } from '../parts/authority.ts'
import { createQuietLog } from '../parts/quiet-log.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'
import { waitFor } from '../parts/wait-for.ts'

const HOST = 'signs.example.net'
const PATH = '/ping/known-to-us-alone'
const folders = createTemporaryFolders()
let authority: Authority
let url = ''
let status = 200
let beats: string[] = []
const server = { close: (): void => undefined }

beforeAll(async () => {
  const folder = folders.make()
  authority = createAuthority(folder, 'Test authority')
  const { certFile, keyFile } = authority.certificateFor(HOST)
  const https = createServer(
    { cert: readFileSync(certFile), key: readFileSync(keyFile) },
    (request, response) => {
      beats.push(`${request.method ?? ''} ${request.url ?? ''}`)
      if (status === 0) request.socket.destroy()
      else if (status > 0) response.writeHead(status).end('whatever')
    },
  )
  https.listen(0, '127.0.0.1')
  await once(https, 'listening')
  url = `https://${HOST}:${(https.address() as AddressInfo).port}${PATH}`
  server.close = () => {
    https.closeAllConnections()
    https.close()
  }
})
afterEach(() => {
  status = 200
  beats = []
})
afterAll(() => {
  server.close()
  folders.removeAll()
})

interface Heart {
  readonly heartbeat: Heartbeat
  readonly log: ReturnType<typeof createQuietLog>
  well: boolean
  aliveMs: number | null
}
function heart({
  method = 'POST',
  everyMs = 0,
  allowPrivate = true,
}: Partial<Parameters<typeof createHeartbeat>[0]['config']> = {}): Heart {
  const log = createQuietLog()
  const post = createHttpPost({
    ca: authority.ca,
    resolve: async () => [{ address: '127.0.0.1', family: 4 }],
    timeoutMs: 500,
  })
  const made: Heart = {
    log,
    well: true,
    aliveMs: 1_000_000,
    heartbeat: createHeartbeat({
      config: { url, method, everyMs, allowPrivate },
      post,
      isWell: () => made.well,
      lastAliveMs: () => made.aliveMs,
      nowMs: () => 1_030_000,
      log,
    }),
  }
  return made
}

describe('signs of life over real https', () => {
  it.each(['GET', 'POST'] as const)('BEAT-1 go out by %s while the monitor is well', async (method) => {
    const { heartbeat } = heart({ method })
    await heartbeat.beat()
    await heartbeat.beat()
    expect([beats, heartbeat.problem()]).toEqual([[`${method} ${PATH}`, `${method} ${PATH}`], null])
  })

  it('BEAT-1 one in each interval, however often it is asked', async () => {
    const { heartbeat } = heart({ everyMs: 60_000 })
    for (let n = 0; n < 5; n++) await heartbeat.beat()
    expect(beats).toHaveLength(1)
  })

  it('BEAT-1 none while it is not well, or the book of record has taken nothing for long; then they go on', async () => {
    const made = heart()
    made.well = false
    await made.heartbeat.beat()
    Object.assign(made, { well: true, aliveMs: 1_030_000 - 90_001 })
    await made.heartbeat.beat()
    made.aliveMs = null
    await made.heartbeat.beat()
    expect(beats).toEqual([])
    made.aliveMs = 1_030_000
    await made.heartbeat.beat()
    expect(beats).toHaveLength(1)
  })

  it.each([
    [500, /it answered 500/],
    [404, /it answered 404/],
    [302, /it answered 302/],
    [0, /hang up|reset/],
    [-1, /no answer within 0.5 s/],
  ])(
    'BEAT-2 an answer %i is a failure that is told with its reason and the cure, logged once, and over with the next success',
    async (answer, reason) => {
      const { heartbeat, log } = heart()
      status = answer
      await heartbeat.beat()
      await heartbeat.beat()
      expect(heartbeat.problem()).toMatch(reason)
      expect(heartbeat.problem()).toMatch(/look at the internet connection and at NIGHTCAP_HEARTBEAT_URL$/)
      status = 204
      await heartbeat.beat()
      expect(heartbeat.problem()).toBeNull()
      expect(log.lines).toEqual([
        'the sign of life did not get through; it is tried again',
        'the sign of life gets through again',
      ])
      expect(log.whole()).not.toContain(PATH)
    },
  )

  it('BEAT-2 after a failure the next try waits', async () => {
    const { heartbeat } = heart({ everyMs: 300_000 })
    status = 503
    for (let n = 0; n < 5; n++) await heartbeat.beat()
    expect(beats).toHaveLength(1)
  })

  it('POST-1 an address within a private network is refused unless that was allowed', async () => {
    const { heartbeat } = heart({ allowPrivate: false })
    await heartbeat.beat()
    expect([beats, heartbeat.problem()]).toEqual([
      [],
      expect.stringMatching(/private network, which is refused/),
    ])
  })

  it('a started monitor sends them; a failure stands at /healthz, which stays well, and the address is in no log', async () => {
    const outcome = parseConfig({
      NIGHTCAP_DATA_DIR: folders.make(),
      NIGHTCAP_HTTP_PORT: '0',
      NIGHTCAP_MQTT_PORT: '0',
      NIGHTCAP_HEARTBEAT_URL: url,
      NIGHTCAP_HEARTBEAT_METHOD: 'GET',
      NIGHTCAP_HEARTBEAT_PRIVATE: 'yes',
    })
    if (!outcome.ok) throw new Error(outcome.problems.join('\n'))
    let written = ''
    status = 503
    const monitor = await startMonitor({
      config: outcome.config,
      log: createLog({ level: 'debug', to: { write: (line) => void (written += line) } }),
      post: createHttpPost({ ca: authority.ca, resolve: async () => [{ address: '127.0.0.1', family: 4 }] }),
    })
    try {
      const problems = await waitFor('the failure to be told', async () => {
        const answer = await fetch(`${monitor.url}/healthz`)
        const health = (await answer.json()) as { ok: boolean; problems: string[] }
        const told = health.problems.filter((p) => p.includes('sign of life'))
        return told.length > 0 ? [answer.status, health.ok, told] : null
      })
      expect(problems).toEqual([200, true, [expect.stringMatching(/it answered 503/)]])
      expect(beats).toEqual([`GET ${PATH}`])
    } finally {
      await monitor.close()
    }
    expect(written).toContain('sign of life')
    expect(written).not.toContain(PATH)
  })
})
