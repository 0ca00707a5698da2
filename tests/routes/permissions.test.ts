import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import Fastify from 'fastify'
import { may, ROLES, type Permission, type Role } from '../../services/core/model/permissions.ts'
import { refuseUnguardedRoute, RouteUnguardedError } from '../../services/web/auth/guards.ts'
import { createSecret, sha256 } from '../../services/web/auth/secrets.ts'
import { openWebShop, ORIGIN, type WebShop } from '../parts/web-shop.ts'

let shop: WebShop
beforeAll(async () => {
  shop = await openWebShop()
})
afterAll(() => shop.close())

interface Case {
  method: string
  url: string
  permission: Permission | 'anyone'
}

/** Every route and method that the framework reports: a new route cannot escape. */
function cases(): Case[] {
  return shop.routes.flatMap(({ method, url, config }) =>
    [method].flat().map((m) => ({
      method: m,
      // Ids that no one has: what stands behind the guard answers 404 or 422, and changes nothing.
      url: url
        .replace(':sensorId', 'no-node%2Fno-sensor')
        .replace(/:\w+/, 'no-such-id')
        .replace('*', 'no-page'),
      permission: config?.permission ?? 'anyone',
    })),
  )
}

function headersOf(role: Role | null): Record<string, string> {
  if (role === null) return {}
  if (role !== 'node') return shop.headersOf(role)
  const secret = createSecret()
  shop.accounts.putCredential({
    id: 'bench',
    kind: 'node',
    title: '',
    secretHash: sha256(secret),
    createdMs: 0,
  })
  return { authorization: `Bearer ${secret}` }
}

async function statusOf({ method, url }: Case, headers: Record<string, string>): Promise<number> {
  if (url.endsWith('/events')) return statusOfStream(url, headers)
  const response = await shop.app.inject({
    method: method as 'GET',
    url,
    headers: { origin: ORIGIN, ...headers },
    // Of the wrong kind everywhere, so that nothing behind the guard happens.
    ...(method === 'POST' || method === 'PUT' ? { payload: [] } : {}),
  })
  return response.statusCode
}

/** A stream never ends by itself: read its status over a real connection, then hang up. */
async function statusOfStream(url: string, headers: Record<string, string>): Promise<number> {
  if (!shop.app.server.listening) await shop.app.listen({ port: 0, host: '127.0.0.1' })
  const address = shop.app.server.address()
  const port = typeof address === 'object' ? address?.port : undefined
  const hangUp = new AbortController()
  const response = await fetch(`http://127.0.0.1:${port}${url}`, { headers, signal: hangUp.signal })
  hangUp.abort()
  return response.status
}

describe('who may do what', () => {
  it.each([null, ...ROLES])(
    'MAY-1 every route answers %s exactly as the permission table says',
    async (role) => {
      const all = cases()
      expect(all.length).toBeGreaterThan(35)
      for (const one of all) {
        const status = await statusOf(one, headersOf(role))
        // A node's secret is for the broker: over HTTP it is nobody.
        const known = role === null || role === 'node' ? null : role
        const allowed = one.permission === 'anyone' || (known !== null && may(known, one.permission))
        const wanted = allowed ? 'in' : known === null ? 401 : 403
        const seen = status === 401 || status === 403 ? status : 'in'
        expect({ ...one, seen }).toEqual({ ...one, seen: wanted })
        expect(status, `${one.method} ${one.url}`).not.toBe(500)
      }
    },
  )

  it('MAY-2 only what must work before signing in is open to anyone', () => {
    const open = cases()
      .filter((c) => c.permission === 'anyone' && c.method !== 'HEAD')
      .map((c) => `${c.method} ${c.url}`)
    expect(open.sort()).toEqual([
      'DELETE /api/v1/session',
      'DELETE /api/v1/sessions',
      'GET /api/openapi.json',
      'GET /api/v1/session',
      'GET /healthz',
      'GET /no-page',
      'POST /api/v1/session',
      'POST /api/v1/session/first-owner',
      'POST /api/v1/session/link',
    ])
  })

  it('MAY-3 an app with a route that does not say who may use it does not start', async () => {
    const app = Fastify()
    app.addHook('onRoute', refuseUnguardedRoute)
    expect(() => app.get('/open', async () => 'hello')).toThrow(RouteUnguardedError)
    await app.close()
  })

  it('MAY-4 a quarantine is shown only to roles that may see it', async () => {
    const owner = await shop.send('owner', { url: '/api/v1/sensors' })
    const program = await shop.send('program', { url: '/api/v1/sensors' })
    expect(owner.json<{ quarantine: unknown[] }>().quarantine).toHaveLength(1)
    expect(program.json<{ quarantine: unknown[] }>().quarantine).toEqual([])
  })

  it('MAY-5 a bearer token decides alone, even beside a good session', async () => {
    const headers = { ...shop.headersOf('owner'), authorization: 'Bearer wrong' }
    expect((await shop.app.inject({ url: '/api/v1/board', headers })).statusCode).toBe(401)
  })
})
