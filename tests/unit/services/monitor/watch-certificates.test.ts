import { copyFileSync } from 'node:fs'
import { createServer, get } from 'node:https'
import type { AddressInfo } from 'node:net'
import { join } from 'node:path'
import { connect } from 'node:tls'
import { afterEach, describe, expect, it, type TestContext } from 'vitest'
import { loadTls } from '../../../../services/monitor/tls-files.ts'
import { endingOf, watchCertificates } from '../../../../services/monitor/watch-certificates.ts'
import { createAuthority } from '../../../parts/authority.ts'
import { requireProgram } from '../../../parts/host.ts'
import { createQuietLog } from '../../../parts/quiet-log.ts'
import { createTemporaryFolders } from '../../../parts/temporary-folder.ts'
import { waitFor } from '../../../parts/wait-for.ts'

const folders = createTemporaryFolders()
const closers: (() => void)[] = []
afterEach(() => {
  for (const close of closers.splice(0)) close()
  folders.removeAll()
})

const DAY = 24 * 3_600_000
const files = { certFile: '/shop/board.crt', keyFile: '/shop/board.key' }

describe('the end of a certificate', () => {
  it('CERT-3 is told two weeks before, and in other words from then on', () => {
    const endsMs = Date.UTC(2026, 5, 30)
    expect(endingOf(files, endsMs, endsMs - 15 * DAY)).toEqual([])
    expect(endingOf(files, endsMs, endsMs - 14 * DAY)).toEqual([
      'the certificate in /shop/board.crt ends on 2026-06-30: put a renewed one there before that',
    ])
    expect(endingOf(files, endsMs, endsMs)[0]).toMatch(/ended on 2026-06-30, and is refused/)
  })
})

it('CERT-3 of the broker it says that a renewed one holds from the next start on', (context) => {
  requireProgram(context, 'openssl')
  const pair = createAuthority(folders.make(), 'shop').certificateFor('broker', 10)
  const http = {
    host: '127.0.0.1',
    port: 0,
    allowedHosts: [],
    trustedProxies: [],
    secureCookies: false,
    tls: null,
  }
  const watch = watchCertificates({
    config: { http, broker: { kind: 'embedded', host: '127.0.0.1', port: 0, tls: pair } },
    held: null,
    log: createQuietLog(),
  })
  closers.push(watch.stop)
  expect(watch.problems()).toEqual([
    expect.stringMatching(/before that, and start Nightcap again: the broker holds/),
  ])
})

describe('a renewed certificate', () => {
  async function served(context: TestContext) {
    requireProgram(context, 'openssl')
    const folder = folders.make()
    const authority = createAuthority(folder, 'shop')
    const [first, second] = [authority.certificateFor('first', 90), authority.certificateFor('second', 90)]
    const pair = { certFile: join(folder, 'in-use.crt'), keyFile: join(folder, 'in-use.key') }
    const put = ({ certFile, keyFile }: typeof pair): void => {
      copyFileSync(certFile, pair.certFile)
      copyFileSync(keyFile, pair.keyFile)
    }
    put(first)
    const held = loadTls(pair)
    const server = createServer({ cert: held.cert, key: held.key }, (_, answer) => answer.end('well'))
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
    const log = createQuietLog()
    const config = {
      http: {
        host: '127.0.0.1',
        port: 0,
        allowedHosts: [],
        trustedProxies: [],
        secureCookies: true,
        tls: pair,
      },
      broker: { kind: 'embedded' as const, host: '127.0.0.1', port: 0, tls: null },
    }
    const watch = watchCertificates({ config, held, log, lookEveryMs: 20 })
    watch.follow(server)
    closers.push(watch.stop, () => server.close())
    const { port } = server.address() as AddressInfo
    const named = (): Promise<string> =>
      new Promise((resolve, reject) => {
        const socket = connect({
          port,
          host: '127.0.0.1',
          ca: authority.ca,
          checkServerIdentity: () => undefined,
        })
        socket.once('error', reject)
        socket.once('secureConnect', () => {
          const { subject } = socket.getPeerCertificate()
          socket.destroy()
          resolve(String(subject.CN))
        })
      })
    return { put, pair, first, second, log, named, port, watch, ca: authority.ca }
  }

  it('CERT-1 holds for the next connections, without a new start', async (context) => {
    const { put, second, named, log, watch } = await served(context)
    expect(await named()).toBe('first')
    expect(watch.problems()).toEqual([])
    put(second)
    await waitFor('the renewed certificate', async () => ((await named()) === 'second' ? true : null))
    expect(log.lines.at(-1)).toMatch(/the renewed certificate in .* is in use/)
  })

  it('CERT-2 that does not fit its key changes nothing, and is taken once it fits', async (context) => {
    const { pair, first, second, named, log, port, ca } = await served(context)
    copyFileSync(second.certFile, pair.certFile)
    await waitFor('a word about it', () =>
      log.lines.some((l) => l.includes('is not the key to')) ? true : null,
    )
    expect(await named()).toBe('first')
    copyFileSync(second.keyFile, pair.keyFile)
    await waitFor('the renewed certificate', async () => ((await named()) === 'second' ? true : null))
    expect(first.certFile).not.toBe(second.certFile)
    const answer = await new Promise<string>((resolve, reject) => {
      get({ port, host: '127.0.0.1', path: '/', ca, checkServerIdentity: () => undefined }, (response) =>
        response.on('data', (text: Buffer) => resolve(text.toString())),
      ).once('error', reject)
    })
    expect(answer).toBe('well')
  })
})
