import { createECDH, createPublicKey, randomBytes, verify } from 'node:crypto'
import { once } from 'node:events'
import { readFileSync } from 'node:fs'
import { createServer as createHttpServer, type IncomingMessage, type RequestListener } from 'node:http'
import { createServer as createHttpsServer } from 'node:https'
import type { AddressInfo, Server } from 'node:net'
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { SMTPServer } from 'smtp-server'
import { createHttpPost } from '../../services/adapters/http-post/create-http-post.ts'
import { createMailSender, messageIdOf } from '../../services/adapters/notify-mail/create-mail-sender.ts'
import {
  createPushSender,
  createVapidKeys,
  pushTopic,
} from '../../services/adapters/notify-push/create-push-sender.ts'
import {
  createWebhookSender,
  signatureOf,
} from '../../services/adapters/notify-webhook/create-webhook-sender.ts'
import type { MailTarget, OutgoingNotice, WebhookTarget } from '../../services/core/model/ports/notify.ts'
import { noticeOf, T0 } from '../contracts/record-samples.ts'
import { createAuthority, type Authority } from '../parts/authority.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'
import { decryptPush } from '../parts/push-device.ts'

const PUSH_HOST = 'push.example.net'
const folders = createTemporaryFolders()
const closers: (() => void)[] = []
let authority: Authority
beforeAll(() => {
  authority = createAuthority(folders.make(), 'Test authority')
})
afterAll(() => {
  closers.forEach((close) => close())
  folders.removeAll()
})

interface Got {
  readonly path: string
  readonly headers: IncomingMessage['headers']
  readonly body: Buffer
}
const got: Got[] = []
/** What the server does with a request, by its path. */
const BEHAVIOURS: Readonly<Record<string, RequestListener>> = {
  '/ok': (_, response) => void response.writeHead(201).end('thanks'),
  '/gone': (_, response) => void response.writeHead(410).end(),
  '/busy': (_, response) => void response.writeHead(429, { 'retry-after': '77' }).end(),
  '/broken': (_, response) => void response.writeHead(503).end(),
  '/refused': (_, response) => void response.writeHead(403).end(),
  '/redirect': (_, response) => void response.writeHead(307, { location: '/ok' }).end(),
  '/silent': () => undefined,
  '/hangs-up': (request) => request.socket.destroy(),
  '/garbage': (request) => request.socket.end('this is no HTTP\r\n\r\n'),
  '/endless': (_, response) => void response.writeHead(200).write('x'.repeat(100_000)),
}
const listener: RequestListener = (request, response) => {
  const parts: Buffer[] = []
  request.on('data', (part: Buffer) => parts.push(part))
  request.on('end', () => {
    const path = request.url ?? ''
    got.push({ path, headers: request.headers, body: Buffer.concat(parts) })
    BEHAVIOURS[path]?.(request, response)
  })
}
async function listening(server: Server): Promise<number> {
  server.listen(0, '127.0.0.1')
  await once(server, 'listening')
  closers.push(() => server.close())
  return (server.address() as AddressInfo).port
}
const out = (change: Parameters<typeof noticeOf>[0] = {}): OutgoingNotice => ({
  notice: noticeOf(change),
  replyUrl: 'https://shop.example.net/r/abc',
  sentMs: T0,
})
const resolve = async () => [{ address: '127.0.0.1', family: 4 }]
beforeEach(() => void (got.length = 0))

/** RFC 8292: the token is signed by the key it comes with. Gives its claims. */
function verifiedClaims(authorization: string): { aud: string; exp: number; sub: string } {
  const [, token = '', k = ''] = /^vapid t=([^,]+), ?k=(.+)$/.exec(authorization) ?? []
  const [header = '', claims = '', signature = ''] = token.split('.')
  const point = Buffer.from(k, 'base64url')
  const [x, y] = [point.subarray(1, 33), point.subarray(33)].map((b) => b.toString('base64url')) as [
    string,
    string,
  ]
  const key = createPublicKey({ key: { kty: 'EC', crv: 'P-256', x, y }, format: 'jwk' })
  const signed = Buffer.from(`${header}.${claims}`)
  expect(
    verify('sha256', signed, { key, dsaEncoding: 'ieee-p1363' }, Buffer.from(signature, 'base64url')),
  ).toBe(true)
  return JSON.parse(Buffer.from(claims, 'base64url').toString()) as { aud: string; exp: number; sub: string }
}

describe('reference values', () => {
  const vectors = JSON.parse(
    readFileSync(new URL('../reference/webpush_vectors.json', import.meta.url), 'utf8'),
  ) as {
    rfc8291: Record<'body' | 'auth_secret' | 'ua_private' | 'plaintext', string>
    rfc8292: { jwt: string; k: string; claims: object }
  }
  it('RFC 8291 appendix A: our device reads the body of the example', () => {
    const { body, auth_secret: auth, ua_private: key, plaintext } = vectors.rfc8291
    const device = createECDH('prime256v1')
    device.setPrivateKey(Buffer.from(key, 'base64url'))
    expect(decryptPush(Buffer.from(body, 'base64url'), { device, auth }).toString()).toBe(plaintext)
  })
  it('RFC 8292: our check takes the example token', () => {
    const { jwt, k, claims } = vectors.rfc8292
    expect(verifiedClaims(`vapid t=${jwt}, k=${k}`)).toEqual(claims)
  })
})

describe('push', () => {
  const device = createECDH('prime256v1')
  const p256dh = device.generateKeys('base64url')
  const auth = randomBytes(16).toString('base64url')
  const keys = createVapidKeys()
  let origin = ''
  const send = (path: string, notice = out(), to = origin) =>
    createPushSender({
      // The server of the test is on this computer: the port alone is let through.
      post: (request) =>
        createHttpPost({ ca: authority.ca, resolve, timeoutMs: 400 })({ ...request, allowPrivate: true }),
      vapid: () => ({ ...keys, subject: 'mailto:night@example.org' }),
    })(notice, { endpoint: `${to}${path}`, p256dh, auth })
  beforeAll(async () => {
    const { certFile, keyFile } = authority.certificateFor(PUSH_HOST)
    const tls = { cert: readFileSync(certFile), key: readFileSync(keyFile) }
    origin = `https://${PUSH_HOST}:${await listening(createHttpsServer(tls, listener))}`
  })

  it('arrives encrypted to the device, signed by us, with TTL, Urgency and Topic (RFC 8030, 8291, 8292)', async () => {
    expect(await send('/ok')).toEqual({ kind: 'taken' })
    const { headers, body } = got[0] as Got
    expect(headers).toMatchObject({ ttl: '3600', urgency: 'high', topic: pushTopic('first', 'dry') })
    expect(String(headers['topic'])).toMatch(/^[\w-]{1,32}$/)
    const claims = verifiedClaims(String(headers.authorization))
    expect(claims).toMatchObject({ aud: origin, sub: 'mailto:night@example.org' })
    expect(claims.exp * 1000).toBeLessThanOrEqual(Date.now() + 86_400_000)
    const { key, kind, title, body: text, page, topic } = noticeOf()
    expect(JSON.parse(decryptPush(body, { device, auth }).toString())).toEqual({
      ...{ key, kind, title, body: text, page, topic },
      ...{ replyUrl: 'https://shop.example.net/r/abc', sentMs: T0 },
    })
  })
  it('PUSH-1 a long notice is shortened to one record of 4096 octets, between letters', async () => {
    expect(await send('/ok', out({ body: 'ü'.repeat(4000) }))).toEqual({ kind: 'taken' })
    expect(got[0]?.body.length).toBeLessThanOrEqual(4096)
    const payload = JSON.parse(decryptPush(got[0]?.body ?? Buffer.alloc(0), { device, auth }).toString()) as {
      body: string
    }
    expect(payload.body).toMatch(/^ü{1000,}…$/)
  })
  it.each([
    ['/gone', { kind: 'dead', gone: true }],
    ['/refused', { kind: 'dead' }],
    ['/redirect', { kind: 'dead' }],
    ['/busy', { kind: 'later', retryAfterMs: 77_000 }],
    ['/broken', { kind: 'later', retryAfterMs: null }],
    ['/silent', { kind: 'later' }],
    ['/hangs-up', { kind: 'later' }],
    ['/garbage', { kind: 'later' }],
    ['/endless', { kind: 'taken' }],
  ])('PUSH-2 %s is %j', async (path, expected) => {
    expect(await send(path)).toMatchObject(expected)
    expect(got.length).toBe(1)
  })
  it('a push service without https, or in a private network, gets nothing', async () => {
    expect(await send('/ok', out(), 'http://push.example.net')).toMatchObject({ kind: 'dead' })
    const sender = createPushSender({
      post: createHttpPost({ ca: authority.ca, resolve }),
      vapid: () => ({ ...keys, subject: 'mailto:night@example.org' }),
    })
    expect(await sender(out(), { endpoint: `${origin}/ok`, p256dh, auth })).toMatchObject({ kind: 'dead' })
    expect(got).toEqual([])
  })
})

describe('webhook', () => {
  let port = 0
  const secret = `whsec_${randomBytes(32).toString('base64')}`
  const send = (url: string, change: Partial<WebhookTarget> = {}) =>
    createWebhookSender({ post: createHttpPost({ timeoutMs: 400, resolve }), nowMs: () => T0 })(out(), {
      ...{ url, secret, allowPrivate: true, source: 'https://shop.example.net', ...change },
    })
  beforeAll(async () => {
    port = await listening(createHttpServer(listener))
  })

  it('HOOK-1 arrives as a CloudEvent 1.0 with a signature that holds, under the key of the notice', async () => {
    expect(await send(`http://127.0.0.1:${port}/ok`)).toEqual({ kind: 'taken' })
    const { headers, body } = got[0] as Got
    const id = String(headers['webhook-id'])
    const timestamp = String(headers['webhook-timestamp'])
    expect(headers['content-type']).toMatch(/^application\/cloudevents\+json/)
    expect(headers['webhook-signature']).toBe(signatureOf({ secret, id, timestamp, body: body.toString() }))
    expect(JSON.parse(body.toString())).toMatchObject({
      ...{ specversion: '1.0', id: 'notice', source: 'https://shop.example.net' },
      ...{ type: 'nightcap.notice.alarm', time: new Date(T0).toISOString() },
      data: { title: noticeOf().title, replyUrl: 'https://shop.example.net/r/abc' },
    })
    expect([id, timestamp]).toEqual(['notice', String(T0 / 1000)])
  })
  it.each([
    ['/refused', 'dead'],
    ['/gone', 'dead'],
    ['/redirect', 'dead'],
    ['/busy', 'later'],
    ['/broken', 'later'],
    ['/silent', 'later'],
    ['/hangs-up', 'later'],
    ['/garbage', 'later'],
    ['/endless', 'taken'],
  ])('HOOK-2 %s is %s', async (path, kind) => {
    expect(await send(`http://127.0.0.1:${port}${path}`)).toMatchObject({ kind })
    expect(got.length).toBe(1)
  })
  it.each([
    'http://127.0.0.1',
    'http://hook.example.net',
    'http://[::1]',
    'http://[::ffff:127.0.0.1]',
    'http://10.1.2.3',
    'http://2130706433',
  ])('POST-1 %s is private, and gets nothing', async (origin) => {
    expect(await send(`${origin}:${port}/ok`, { allowPrivate: false })).toMatchObject({ kind: 'dead' })
    expect(got).toEqual([])
  })
})

describe('mail', () => {
  interface Letter {
    readonly to: string[]
    readonly text: string
    readonly secure: boolean
  }
  const letters: Letter[] = []
  let answer: Error | null = null
  const ports = { tls: 0, startTls: 0, plain: 0 }
  beforeAll(async () => {
    const { certFile, keyFile } = authority.certificateFor('localhost')
    const tls = { cert: readFileSync(certFile), key: readFileSync(keyFile) }
    const open = async (options: ConstructorParameters<typeof SMTPServer>[0]): Promise<number> => {
      const server = new SMTPServer({
        ...options,
        onAuth: ({ username, password }, _, done) =>
          username === 'night' && password === 'right'
            ? done(null, { user: 'night' })
            : done(new Error('no')),
        onData: (stream, session, done) => {
          const parts: Buffer[] = []
          stream.on('data', (part: Buffer) => parts.push(part))
          stream.on('end', () => {
            const to = session.envelope.rcptTo.map((r) => r.address)
            if (!answer) letters.push({ to, text: Buffer.concat(parts).toString(), secure: session.secure })
            done(answer)
          })
        },
      })
      server.on('error', () => undefined)
      closers.push(() => void server.close())
      const inner = server.listen(0, '127.0.0.1')
      await once(inner, 'listening')
      return (inner.address() as AddressInfo).port
    }
    ports.tls = await open({ ...tls, secure: true })
    ports.startTls = await open({ ...tls })
    ports.plain = await open({ disabledCommands: ['STARTTLS'], authOptional: true })
  })
  beforeEach(() => {
    letters.length = 0
    answer = null
  })
  const send = (change: Partial<MailTarget>) =>
    createMailSender({ timeoutMs: 1_000, ca: authority.ca })(out(), {
      ...{ to: 'owner@example.org', from: 'nightcap@example.org', host: 'localhost', port: ports.startTls },
      ...{ security: 'startTls', user: 'night', password: 'right', ...change },
    })

  it.each(['tls', 'startTls'] as const)('arrives over %s, with the link to answer by', async (security) => {
    expect(await send({ security, port: ports[security] })).toEqual({ kind: 'taken' })
    expect(letters).toMatchObject([{ to: ['owner@example.org'], secure: true }])
    const { text } = letters[0] as Letter
    expect(text).toContain(`Subject: ${noticeOf().title}`)
    expect(text).toContain('https://shop.example.net/r/abc')
    expect(text).toContain(`Message-ID: ${messageIdOf('notice', 'nightcap@example.org')}`)
  })
  it('MAIL-1 a server that offers no STARTTLS hears nothing; none goes to this computer alone', async () => {
    expect(await send({ port: ports.plain, user: null })).toMatchObject({ kind: 'later' })
    expect(letters).toEqual([])
    expect(await send({ port: ports.plain, user: null, security: 'none' })).toEqual({ kind: 'taken' })
    expect(await send({ host: 'mail.example.org', security: 'none' })).toMatchObject({ kind: 'dead' })
  })
  it('MAIL-2 the same notice again is the same message', async () => {
    await send({})
    await send({})
    const ids = letters.map((l) => /^Message-ID: (.+)$/im.exec(l.text)?.[1])
    expect(ids[0]).toBe(ids[1])
    expect(messageIdOf('other', 'a@b.c')).not.toBe(messageIdOf('notice', 'a@b.c'))
  })
  it('MAIL-3 4xx is tried again, 5xx is for good, a wrong password can be put right', async () => {
    answer = Object.assign(new Error('try again'), { responseCode: 451 })
    expect(await send({})).toMatchObject({ kind: 'later' })
    answer = Object.assign(new Error('never'), { responseCode: 554 })
    expect(await send({})).toMatchObject({ kind: 'dead' })
    const wrong = await send({ password: 'a wrong secret' })
    expect(wrong).toMatchObject({ kind: 'later' })
    expect(JSON.stringify(wrong)).not.toContain('a wrong secret')
  })
  it('a server that says nothing, or is not there, is tried again', async () => {
    const silent = await listening(createHttpServer())
    expect(await send({ port: silent, security: 'tls' })).toMatchObject({ kind: 'later' })
    expect(await send({ port: 1 })).toMatchObject({ kind: 'later' })
  })
})
