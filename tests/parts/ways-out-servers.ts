import { createECDH, randomBytes } from 'node:crypto'
import { once } from 'node:events'
import { readFileSync } from 'node:fs'
import { createServer as createHttpServer, type IncomingMessage, type RequestListener } from 'node:http'
import { createServer as createHttpsServer } from 'node:https'
import type { AddressInfo, Server } from 'node:net'
import { SMTPServer } from 'smtp-server'
import { createHttpPost } from '../../services/adapters/http-post/create-http-post.ts'
import type { HttpPost } from '../../services/core/model/ports/notify.ts'
import { createAuthority } from './authority.ts'
import { decryptPush } from './push-device.ts'

const PUSH_HOST = 'push.example.net'

/** What a device gets to show. */
export interface PushedNotice {
  readonly key: string
  readonly kind: string
  readonly title: string
  readonly body: string
  readonly page: string
  readonly topic: string
  readonly replyUrl: string | null
  readonly sentMs: number
}

/** A push service, a mail server and a receiver of webhooks on this computer, all real. */
export interface WaysOutServers {
  /** Of a device: what a browser would hand to the shop. */
  readonly subscription: { endpoint: string; keys: { p256dh: string; auth: string } }
  readonly smtpPort: number
  readonly hookUrl: string
  /** For the monitor: finds the push service, which has no name in the world, and trusts it. */
  readonly post: HttpPost
  readonly pushed: PushedNotice[]
  /** When each of `pushed` came, by `performance.now()`. */
  readonly pushedAtMs: number[]
  readonly letters: string[]
  readonly hooks: { readonly id: string; readonly type: string; readonly title: string }[]
  /** What the push service answers from now on. */
  readonly answerPush: (status: number) => void
  /** What the receiver of webhooks answers from now on. */
  readonly answerHook: (status: number) => void
  readonly close: () => void
}

/** Needs openssl. `folder` takes the certificates. */
export async function openWaysOut(folder: string): Promise<WaysOutServers> {
  const authority = createAuthority(folder, 'Test authority')
  const { certFile, keyFile } = authority.certificateFor(PUSH_HOST)
  const device = createECDH('prime256v1')
  const p256dh = device.generateKeys('base64url')
  const auth = randomBytes(16).toString('base64url')
  const pushed: PushedNotice[] = []
  const pushedAtMs: number[] = []
  const letters: string[] = []
  const hooks: { id: string; type: string; title: string }[] = []
  let pushStatus = 201
  let hookStatus = 204
  const push = createHttpsServer(
    { cert: readFileSync(certFile), key: readFileSync(keyFile) },
    receiving((body, _, response) => {
      const cameAtMs = performance.now()
      if (pushStatus < 300 && body.length > 0) {
        pushed.push(JSON.parse(decryptPush(body, { device, auth }).toString()) as PushedNotice)
        pushedAtMs.push(cameAtMs)
      }
      response.writeHead(pushStatus).end()
    }),
  )
  const hook = createHttpServer(
    receiving((body, request, response) => {
      if (hookStatus < 300) {
        const event = JSON.parse(body.toString()) as { type: string; data: { title: string } }
        hooks.push({ id: String(request.headers['webhook-id']), type: event.type, title: event.data.title })
      }
      response.writeHead(hookStatus).end()
    }),
  )
  const mail = new SMTPServer({
    disabledCommands: ['STARTTLS'],
    authOptional: true,
    onData: (stream, _, done) => {
      const parts: Buffer[] = []
      stream.on('data', (part: Buffer) => parts.push(part))
      stream.on('end', () => {
        letters.push(Buffer.concat(parts).toString())
        done()
      })
    },
  })
  mail.on('error', () => undefined)
  const [pushPort, hookPort] = [await listening(push), await listening(hook)]
  const post = createHttpPost({
    ca: authority.ca,
    resolve: async () => [{ address: '127.0.0.1', family: 4 }],
    timeoutMs: 5_000,
  })
  return {
    subscription: {
      endpoint: `https://${PUSH_HOST}:${pushPort}/a-device-known-to-few`,
      keys: { p256dh, auth },
    },
    smtpPort: await listening(mail.listen(0, '127.0.0.1')),
    hookUrl: `http://127.0.0.1:${hookPort}/a-path-known-to-few`,
    // Loopback is refused by itself: that rule has tests of its own.
    post: (request) => post({ ...request, allowPrivate: true }),
    pushed,
    pushedAtMs,
    letters,
    hooks,
    answerPush: (status) => (pushStatus = status),
    answerHook: (status) => (hookStatus = status),
    close: () => {
      push.close()
      hook.close()
      mail.close()
    },
  }
}

function receiving(
  answer: (body: Buffer, request: IncomingMessage, response: Parameters<RequestListener>[1]) => void,
): RequestListener {
  return (request, response) => {
    const parts: Buffer[] = []
    request.on('data', (part: Buffer) => parts.push(part))
    request.on('end', () => answer(Buffer.concat(parts), request, response))
  }
}

async function listening(server: Server): Promise<number> {
  if (!server.listening) {
    server.listen(0, '127.0.0.1')
    await once(server, 'listening')
  }
  return (server.address() as AddressInfo).port
}
