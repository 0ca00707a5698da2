import { createECDH, randomBytes } from 'node:crypto'
import { once } from 'node:events'
import { readFileSync } from 'node:fs'
import { createServer } from 'node:https'
import type { AddressInfo } from 'node:net'
import { createHttpPost } from '../../services/adapters/http-post/create-http-post.ts'
import type { HttpPost } from '../../services/core/model/ports/notify.ts'
import { createAuthority } from './authority.ts'
import { decryptPush } from './push-device.ts'

const HOST = 'push.example.net'

/** A push service on this computer, and one device that is reached by it. Needs openssl. */
export interface PushService {
  /** Posts as the monitor does; this service alone is found on this computer. */
  readonly post: HttpPost
  /** As a browser would give it (W3C Push API, toJSON). */
  readonly subscription: {
    readonly endpoint: string
    readonly keys: { readonly p256dh: string; readonly auth: string }
  }
  /** What the device could open, in the order in which it came. */
  readonly opened: readonly Record<string, unknown>[]
  /** From here on the device is gone: 410, as after an app was removed. */
  readonly forgetDevice: () => void
  readonly close: () => void
}

export async function startPushService(folder: string): Promise<PushService> {
  const authority = createAuthority(folder, 'Push authority')
  const { certFile, keyFile } = authority.certificateFor(HOST)
  const device = createECDH('prime256v1')
  const p256dh = device.generateKeys('base64url')
  const auth = randomBytes(16).toString('base64url')
  const opened: Record<string, unknown>[] = []
  let isGone = false
  const server = createServer(
    { cert: readFileSync(certFile), key: readFileSync(keyFile) },
    (request, response) => {
      const parts: Buffer[] = []
      request.on('data', (part: Buffer) => parts.push(part))
      request.on('end', () => {
        if (!isGone) {
          const text = decryptPush(Buffer.concat(parts), { device, auth }).toString()
          opened.push(JSON.parse(text) as Record<string, unknown>)
        }
        response.writeHead(isGone ? 410 : 201).end()
      })
    },
  )
  server.listen(0, '127.0.0.1')
  await once(server, 'listening')
  const post = createHttpPost({
    ca: authority.ca,
    resolve: async () => [{ address: '127.0.0.1', family: 4 }],
  })
  return {
    post: (request) => post({ ...request, allowPrivate: true }),
    subscription: {
      endpoint: `https://${HOST}:${(server.address() as AddressInfo).port}/device-1`,
      keys: { p256dh, auth },
    },
    opened,
    forgetDevice: () => {
      isGone = true
    },
    close: () => void server.close(),
  }
}
