import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { isAllowedHost, isAllowedOrigin } from '../../services/web/request-trust.ts'
import { openWebShop, problemOf, type WebShop } from '../parts/web-shop.ts'

const MARKUP = '<img src=x onerror=alert(1)>'
let shop: WebShop
let behindProxy: WebShop
let boardDir: string
beforeAll(async () => {
  boardDir = mkdtempSync(join(tmpdir(), 'nightcap-board-'))
  mkdirSync(join(boardDir, 'assets'))
  writeFileSync(join(boardDir, 'index.html'), '<!doctype html><title>Board</title>')
  writeFileSync(join(boardDir, 'assets', 'board-1a2b3c.js'), 'export {}')
  writeFileSync(join(boardDir, '.secret'), 'hidden')
  shop = await openWebShop({ boardDir, title: MARKUP })
  behindProxy = await openWebShop({
    config: { allowedHosts: ['board.quayside.example'], secureCookies: true, trustedProxies: ['127.0.0.1'] },
  })
})
afterAll(async () => {
  await Promise.all([shop.close(), behindProxy.close()])
  rmSync(boardDir, { recursive: true })
})

describe('the name a request is sent to', () => {
  it.each([
    'evil.example',
    'localhost.evil.example',
    '127.0.0.1.evil.example',
    'a b',
    'evil.example:80@localhost',
  ])('HOST-1 the board does not answer to %j, whatever is asked', async (host) => {
    for (const url of ['/', '/api/v1/session', '/healthz', '/api/openapi.json', '/nothing/here.txt']) {
      const response = await shop.app.inject({ url, headers: { host } })
      expect([url, response.statusCode]).toEqual([url, 421])
      expect(problemOf(response).detail).toContain('NIGHTCAP_ALLOWED_HOSTS')
    }
  })

  it.each(['localhost', 'localhost:8080', '127.0.0.1:8080', '127.8.9.1', '[::1]:8080', 'LOCALHOST'])(
    'HOST-2 it answers to %s',
    (host) => expect(isAllowedHost(host, [])).toBe(true),
  )

  it('HOST-3 a configured name counts for every port, with a port only for that', () => {
    expect(isAllowedHost('Board.example:8443', ['board.example'])).toBe(true)
    expect(isAllowedHost('board.example:8443', ['board.example:8443'])).toBe(true)
    expect(isAllowedHost('board.example:8444', ['board.example:8443'])).toBe(false)
    for (const none of [undefined, '']) expect(isAllowedHost(none, ['board.example'])).toBe(false)
  })

  it('HOST-4 X-Forwarded-Host opens nothing', async () => {
    const headers = { host: 'evil.example', 'x-forwarded-host': 'localhost' }
    expect((await behindProxy.app.inject({ url: '/healthz', headers })).statusCode).toBe(421)
  })
})

describe('where a change comes from', () => {
  const change = (headers: Record<string, string | undefined>) =>
    shop.app.inject({
      method: 'POST',
      url: '/api/v1/alarms/a/acknowledgement',
      headers: { ...shop.headersOf('owner'), ...headers },
    })

  it.each([
    { origin: 'http://evil.example' },
    { origin: 'http://localhost:3000' },
    { origin: 'null' },
    { origin: 'file://' },
    { 'sec-fetch-site': 'cross-site' },
    { 'sec-fetch-site': 'same-site' },
    {},
  ])('ORIGIN-1 a change with %j is refused, and not made', async (headers) => {
    const before = shop.monitor.submitted.length
    const response = await change(headers)
    expect(response.statusCode).toBe(403)
    expect(problemOf(response).detail).toContain('Origin: changes are taken from the board itself')
    expect(shop.monitor.submitted).toHaveLength(before)
  })

  it.each([
    { origin: 'http://localhost:80' },
    { origin: 'http://localhost' },
    { 'sec-fetch-site': 'same-origin' },
  ])('ORIGIN-2 a change with %j is taken', async (headers) =>
    expect((await change(headers)).statusCode).toBe(204),
  )

  it('ORIGIN-3 a program with its token needs no Origin', async () => {
    const response = await shop.app.inject({
      method: 'POST',
      url: '/api/v1/nozzle-checks',
      headers: shop.headersOf('program'),
      payload: { machineId: 'roll', reason: 'routine', missing: [] },
    })
    expect(response.statusCode).toBe(201)
    expect(shop.monitor.submitted.at(-1)).toMatchObject({ act: { via: 'program' } })
  })

  it('ORIGIN-4 a configured name is taken from a proxy that rewrites Host', () => {
    expect(isAllowedOrigin('https://board.example', '127.0.0.1:8080', ['board.example'])).toBe(true)
    expect(isAllowedOrigin('https://board.example:444', '127.0.0.1:8080', ['board.example'])).toBe(false)
  })

  it('ORIGIN-5 signing in is a change too: no foreign page signs a browser in', async () => {
    const response = await shop.app.inject({
      method: 'POST',
      url: '/api/v1/session',
      headers: { origin: 'http://evil.example' },
      payload: { name: 'a', password: 'b' },
    })
    expect(response.statusCode).toBe(403)
  })
})

describe('headers', () => {
  it('HEADER-1 a path that cannot be decoded is answered with nothing to run, to guess or to keep', async () => {
    const { statusCode, headers } = await shop.app.inject({ url: '/%ff' })
    expect(statusCode).toBe(400)
    expect(headers['content-security-policy']).toBe("default-src 'none';frame-ancestors 'none'")
    expect(headers['x-content-type-options']).toBe('nosniff')
    expect(headers['cache-control']).toBe('no-store')
  })

  const everywhere = [
    '/',
    '/api/v1/session',
    '/api/v1/board',
    '/nothing/here.txt',
    '/api/v1/nothing',
    '/healthz',
  ]
  it.each(everywhere)(
    'HEADER-1 %s forbids inline code, foreign code, frames and guessing of types',
    async (url) => {
      const { headers } = await shop.app.inject({ url })
      const policy = String(headers['content-security-policy'])
      expect(policy).toBe(
        "default-src 'none';script-src 'self';style-src 'self';connect-src 'self';img-src 'self' data:;font-src 'self';manifest-src 'self';worker-src 'self';base-uri 'none';form-action 'self';frame-ancestors 'none'",
      )
      expect(headers['x-content-type-options']).toBe('nosniff')
      expect(headers['x-frame-options']).toBe('DENY')
      expect(headers['strict-transport-security']).toBeUndefined()
      expect(headers['access-control-allow-origin']).toBeUndefined()
      expect(headers['x-powered-by']).toBeUndefined()
    },
  )

  it('HEADER-2 behind https the cookie is Secure and the browser is told to stay on https', async () => {
    const { code } = behindProxy.codes.issueFirstOwnerCode()
    const response = await behindProxy.app.inject({
      method: 'POST',
      url: '/api/v1/session/first-owner',
      headers: { host: 'board.quayside.example', origin: 'https://board.quayside.example' },
      payload: { code, name: 'Ada', password: 'a long enough password' },
    })
    expect(response.statusCode).toBe(201)
    expect(String(response.headers['set-cookie'])).toContain('Secure')
    expect(response.headers['strict-transport-security']).toBe('max-age=15552000')
  })

  it('HEADER-3 answers of the API are kept by nobody', async () => {
    for (const url of ['/api/v1/session', '/api/v1/board', '/metrics']) {
      const response = await shop.send('owner', { url })
      expect([url, response.headers['cache-control']]).toEqual([url, 'no-store'])
    }
  })

  it('HEADER-4 markup in a name leaves as JSON, never as a page', async () => {
    for (const url of ['/api/v1/board', '/api/v1/machines', '/api/v1/sensors']) {
      const response = await shop.send('owner', { url })
      expect(response.body).toContain(MARKUP)
      expect(response.headers['content-type']).toBe('application/json; charset=utf-8')
    }
    const refused = await shop.send('owner', { url: `/api/v1/tasks/${encodeURIComponent(MARKUP)}` })
    expect(refused.body).toContain(MARKUP)
    expect(refused.headers['content-type']).toContain('application/problem+json')
    const unknown = await shop.app.inject({ url: `/${encodeURIComponent(MARKUP)}.txt` })
    expect([unknown.statusCode, unknown.headers['content-type']]).toEqual([404, 'application/problem+json'])
  })
})

describe('the board files', () => {
  it('FILES-1 pages of the board get index.html, assets are kept for a year, the page itself never', async () => {
    for (const url of ['/', '/tasks/17', '/setup?tab=nodes']) {
      const page = await shop.app.inject({ url })
      expect([page.statusCode, page.headers['content-type']]).toEqual([200, 'text/html; charset=utf-8'])
      expect(page.headers['cache-control']).toBe('no-cache')
    }
    const asset = await shop.app.inject({ url: '/assets/board-1a2b3c.js' })
    expect(asset.statusCode).toBe(200)
    expect(asset.headers['cache-control']).toContain('immutable')
  })

  it.each(['/../package.json', '/..%2f..%2fpackage.json', '/.secret', '/assets/none.js', '/%00.js'])(
    'FILES-2 %s is not served',
    async (url) => {
      const response = await shop.app.inject({ url })
      expect(response.statusCode).toBeGreaterThanOrEqual(400)
      expect(response.statusCode).toBeLessThan(500)
      expect(response.headers['content-type']).toContain('application/problem+json')
      expect(response.body).not.toContain('hidden')
    },
  )

  it('FILES-5 whoever is signed in gets the board at once with the page; a stranger is not sent to a closed door', async () => {
    const asked = async (headers: Record<string, string>, url = '/') =>
      (await shop.app.inject({ url, headers })).headers['link']
    const owner = shop.headersOf('owner')
    expect(await asked(owner)).toBe('</api/v1/board>; rel=preload; as=fetch; crossorigin')
    expect(await asked({})).toBeUndefined()
    expect(await asked(owner, '/assets/board-1a2b3c.js')).toBeUndefined()
  })

  it('FILES-3 an address below /api is never the board', async () => {
    const response = await shop.send('owner', { url: '/api/v1/nothing' })
    expect([response.statusCode, response.headers['content-type']]).toEqual([404, 'application/problem+json'])
  })

  it('FILES-4 without a built board the page says how to build it, and the API works', async () => {
    const page = await behindProxy.app.inject({ url: '/' })
    expect(page.statusCode).toBe(503)
    expect(page.body).toContain('npm run build')
    expect((await behindProxy.app.inject({ url: '/healthz' })).statusCode).toBe(200)
  })
})
