import { readFileSync } from 'node:fs'
import { request } from 'node:https'
import { join } from 'node:path'
import { afterEach, describe, expect, it } from 'vitest'
import { parseConfig } from '../../services/monitor/config.ts'
import { createLog } from '../../services/monitor/log.ts'
import { startMonitor } from '../../services/monitor/start-monitor.ts'
import { createAuthority } from '../parts/authority.ts'
import { requireProgram } from '../parts/host.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'

const folders = createTemporaryFolders()
const opened: { close: () => Promise<unknown> }[] = []
afterEach(async () => {
  for (const part of opened.splice(0).reverse()) await part.close()
  folders.removeAll()
})

describe('a board with a certificate of its own', () => {
  it('is served over https alone, with cookies and headers that keep it so', async (context) => {
    requireProgram(context, 'openssl')
    const authority = createAuthority(folders.make(), 'shop')
    const { certFile, keyFile } = authority.certificateFor('localhost', 90)
    const outcome = parseConfig({
      NIGHTCAP_DATA_DIR: join(folders.make(), 'data'),
      NIGHTCAP_HTTP_PORT: '0',
      NIGHTCAP_MQTT_PORT: '0',
      NIGHTCAP_HTTP_TLS_CERT_FILE: certFile,
      NIGHTCAP_HTTP_TLS_KEY_FILE: keyFile,
    })
    if (!outcome.ok) throw new Error(outcome.problems.join('\n'))
    const written: string[] = []
    const log = createLog({ level: 'debug', to: { write: (line) => void written.push(line) } })
    const monitor = await startMonitor({ config: outcome.config, log })
    opened.push(monitor)
    expect(monitor.url).toMatch(/^https:/)
    const { port } = new URL(monitor.url)

    const body = JSON.stringify({
      code: monitor.firstOwnerCode(),
      name: 'Lena',
      password: 'a long enough password',
    })
    const answer = await new Promise<{ status: number; headers: Record<string, unknown> }>(
      (resolve, reject) => {
        const headers = {
          'content-type': 'application/json',
          'content-length': Buffer.byteLength(body),
          origin: `https://localhost:${port}`,
        }
        request(
          {
            host: 'localhost',
            port,
            path: '/api/v1/session/first-owner',
            method: 'POST',
            ca: authority.ca,
            headers,
          },
          (response) => {
            response.resume()
            resolve({ status: response.statusCode ?? 0, headers: response.headers })
          },
        )
          .once('error', reject)
          .end(body)
      },
    )
    expect(answer.status).toBe(201)
    expect(String(answer.headers['set-cookie'])).toMatch(/HttpOnly; Secure; SameSite=Strict/)
    expect(answer.headers['strict-transport-security']).toBe('max-age=15552000')

    await expect(fetch(`http://127.0.0.1:${port}/healthz`)).rejects.toThrow()
    expect(written.join('')).not.toContain(readFileSync(keyFile, 'utf8').split('\n')[1])
  })
})
