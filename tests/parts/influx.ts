import { type ChildProcess, spawn } from 'node:child_process'
import { existsSync, mkdtempSync, readdirSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { createServer, request, type Server } from 'node:http'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { freePort } from './free-port.ts'
import { waitFor } from './wait-for.ts'

/** Where a store of the v2 write API is, with what it takes to write and to ask. */
export interface InfluxPlace {
  readonly url: string
  readonly org: string
  readonly bucket: string
  readonly token: string
}

export interface LocalInflux extends InfluxPlace {
  readonly start: () => Promise<void>
  readonly stop: (signal?: 'SIGTERM' | 'SIGKILL') => Promise<void>
  /** What it holds on disk, and what of that waits in its log to be merged. */
  readonly dataBytes: () => number
  readonly walBytes: () => number
  readonly close: () => Promise<void>
}

const SETTLE_AT_ONCE = 'cache-snapshot-write-cold-duration = "1s"\ncompact-full-write-cold-duration = "2s"\n'
const BUCKET = 'nightcap'
const TOKEN = 'a token of this test alone'

/**
 * A real InfluxDB 1.6 from Debian on free ports of this computer. It knows the old write address alone, so a proxy before
 * it takes `/api/v2/write?bucket=B` as `/write?db=B`, and refuses any other token as the newer ones do.
 * Ask `requireProgram(context, 'influxd')` first.
 */
export async function startInflux({ settleAtOnce = false } = {}): Promise<LocalInflux> {
  const directory = mkdtempSync(join(tmpdir(), 'nightcap-influx-'))
  const [port, rpcPort, proxyPort] = [await freePort(), await freePort(), await freePort()]
  const configFile = join(directory, 'influxdb.conf')
  writeFileSync(configFile, configOf(directory, { port, rpcPort, settleAtOnce }))
  let child: ChildProcess | null = null

  const start = async (): Promise<void> => {
    const started = spawn('influxd', ['-config', configFile], { stdio: 'ignore' })
    child = started
    await waitFor('influxd to answer', async () => {
      if (started.exitCode !== null) throw new Error(`influxd ended at once with ${started.exitCode}`)
      return await fetch(`http://127.0.0.1:${port}/ping`).then(
        () => true,
        () => null,
      )
    })
    await fetch(`http://127.0.0.1:${port}/query?q=${encodeURIComponent(`CREATE DATABASE ${BUCKET}`)}`, {
      method: 'POST',
    })
  }
  const stop = async (signal: 'SIGTERM' | 'SIGKILL' = 'SIGTERM'): Promise<void> => {
    const running = child
    child = null
    if (!running || running.exitCode !== null) return
    const ended = new Promise((resolve) => running.once('exit', resolve))
    running.kill(signal)
    await ended
  }
  await start()
  const proxy = await listen(proxyPort, port)
  return {
    url: `http://127.0.0.1:${proxyPort}`,
    org: 'shop',
    bucket: BUCKET,
    token: TOKEN,
    start,
    stop,
    dataBytes: () => bytesIn(join(directory, 'data', BUCKET), '.tsm'),
    walBytes: () => bytesIn(join(directory, 'wal', BUCKET), '.wal'),
    close: async () => {
      await stop('SIGKILL')
      await new Promise((resolve) => proxy.close(resolve))
      rmSync(directory, { recursive: true, force: true })
    },
  }
}

/** Of files with such an end; what is being merged is not counted twice. */
function bytesIn(folder: string, end: string): number {
  if (!existsSync(folder)) return 0
  const files = readdirSync(folder, { recursive: true, withFileTypes: true })
  return files
    .filter((file) => file.isFile() && file.name.endsWith(end))
    .reduce((bytes, file) => bytes + statSync(join(file.parentPath, file.name)).size, 0)
}

/** `settleAtOnce`: what was written is merged within seconds, not minutes. */
function configOf(
  directory: string,
  { port, rpcPort, settleAtOnce }: { port: number; rpcPort: number; settleAtOnce: boolean },
): string {
  return `reporting-disabled = true
bind-address = "127.0.0.1:${rpcPort}"
[meta]
dir = "${directory}/meta"
[data]
dir = "${directory}/data"
wal-dir = "${directory}/wal"
${settleAtOnce ? SETTLE_AT_ONCE : ''}[http]
bind-address = "127.0.0.1:${port}"
log-enabled = false
[logging]
level = "error"
`
}

async function listen(proxyPort: number, port: number): Promise<Server> {
  const proxy = createServer((incoming, answer) => {
    const url = new URL(incoming.url ?? '/', 'http://proxy')
    if (incoming.headers.authorization !== `Token ${TOKEN}`) {
      incoming.resume()
      answer.writeHead(401, { 'content-type': 'application/json' })
      return answer.end('{"code":"unauthorized","message":"unauthorized access"}')
    }
    const precision = url.searchParams.get('precision') ?? 'ns'
    const path =
      url.pathname === '/api/v2/write'
        ? `/write?db=${url.searchParams.get('bucket') ?? ''}&precision=${precision}`
        : (incoming.url ?? '/')
    const headers = { ...incoming.headers }
    delete headers.authorization
    // No connection is kept: one that the store closes as it is taken again would look like a store that is away.
    const kept = { agent: false } as const
    const onward = request(
      { ...kept, host: '127.0.0.1', port, path, method: incoming.method, headers },
      (reply) => {
        answer.writeHead(reply.statusCode ?? 502, reply.headers)
        reply.pipe(answer)
      },
    )
    onward.on('error', () => answer.destroy())
    return incoming.pipe(onward)
  })
  proxy.keepAliveTimeout = 120_000
  await new Promise<void>((resolve) => proxy.listen(proxyPort, '127.0.0.1', resolve))
  return proxy
}

/** Rows of an InfluxQL answer, the first series alone; none where it holds nothing. */
export async function influxRows(
  place: InfluxPlace,
  query: string,
): Promise<readonly (readonly unknown[])[]> {
  const address = `${place.url}/query?db=${place.bucket}&epoch=ms&q=${encodeURIComponent(query)}`
  const answer = await fetch(address, { headers: { authorization: `Token ${place.token}` } })
  if (!answer.ok) throw new Error(`InfluxDB answered ${answer.status}: ${await answer.text()}`)
  const body = (await answer.json()) as { results: { series?: { values: unknown[][] }[]; error?: string }[] }
  const [result] = body.results
  if (result?.error !== undefined) throw new Error(result.error)
  return result?.series?.[0]?.values ?? []
}
