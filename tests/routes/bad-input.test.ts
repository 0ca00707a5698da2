import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { fuzzRoutes } from '../parts/fuzz-routes.ts'
import { openWebShop, problemOf, type WebShop } from '../parts/web-shop.ts'

let shop: WebShop
beforeAll(async () => {
  shop = await openWebShop()
})
afterAll(() => shop.close())

const SERIES = '/api/v1/series/bench%2Fhumidity'
const binding = { id: 'bench/new', quantity: 'humidity', subject: { kind: 'room', id: 'floor' } }

interface Bad {
  method?: 'GET' | 'POST' | 'PUT' | 'DELETE'
  url: string
  payload?: unknown
  status: number
  pointer: string
  cure: string
}

/** One bad input at least for every route that takes any: the field at fault, and the words of the cure. */
const BAD: Bad[] = [
  { method: 'POST', url: '/api/v1/session', payload: { name: 'a' }, status: 422, pointer: '/password', cure: 'is missing: give a text' },
  { method: 'POST', url: '/api/v1/session', status: 422, pointer: '', cure: 'is missing: give an object' },
  { method: 'POST', url: '/api/v1/session/first-owner', payload: { code: 'x', name: 'a\u202eb', password: '1234567890' }, status: 422, pointer: '/name', cure: 'leave out characters that cannot be seen' },
  { method: 'POST', url: '/api/v1/session/link', payload: { code: 5 }, status: 422, pointer: '/code', cure: 'must be a text, not a number' },
  { url: '/api/v1/tasks?state=done', status: 400, pointer: '/state', cure: 'expected one of "open"|"closed"' },
  { url: '/api/v1/tasks?sate=open', status: 400, pointer: '/sate', cure: 'check the spelling' },
  { method: 'POST', url: '/api/v1/tasks/t/sign-off', payload: { note: 'x'.repeat(501) }, status: 422, pointer: '/note', cure: '<=500 characters' },
  { method: 'POST', url: '/api/v1/nozzle-checks', payload: { machineId: 'roll', reason: 'boredom', missing: [] }, status: 422, pointer: '/reason', cure: '"routine"|"suspicion"' },
  { method: 'POST', url: '/api/v1/nozzle-checks', payload: { machineId: 'roll', reason: 'routine', missing: [{ channelGroupId: 'roll-white', missingNozzles: -1 }] }, status: 422, pointer: '/missing/0/missingNozzles', cure: '>=0' },
  { url: `${SERIES}?from=5&to=5`, status: 400, pointer: '/to', cure: 'must be later than from' },
  { url: `${SERIES}?from=now&to=5`, status: 400, pointer: '/from', cure: 'must be a number' },
  { url: `${SERIES}?from=0&to=5&points=9`, status: 400, pointer: '/points', cure: '>=10' },
  { url: `${SERIES}?from=0`, status: 400, pointer: '/to', cure: 'must be a number' },
  { url: '/api/v1/series/humidity?from=0&to=5', status: 400, pointer: '/sensorId', cure: 'its node, a slash and its own name' },
  { method: 'POST', url: '/api/v1/sensors/assignment', payload: { ...binding, quantity: 'mass' }, status: 422, pointer: '/subject/kind', cure: 'mass to a bottle' },
  { method: 'POST', url: '/api/v1/sensors/assignment', payload: { ...binding, subject: { kind: 'room', id: 'attic' } }, status: 422, pointer: '/sensors/4/subject/id', cure: 'there is no room attic: add it first' },
  { method: 'DELETE', url: '/api/v1/sensors/assignment/nothing', status: 400, pointer: '/sensorId', cure: 'a sensor id is' },
  { method: 'POST', url: '/api/v1/nodes', payload: { id: 'readings' }, status: 422, pointer: '/id', cure: 'choose another name' },
  { method: 'POST', url: '/api/v1/nodes/a%20b/secret', status: 400, pointer: '/id', cure: 'use letters, digits' },
  { method: 'DELETE', url: '/api/v1/nodes/a%20b/secret', status: 400, pointer: '/id', cure: 'use letters, digits' },
  { method: 'POST', url: '/api/v1/people', payload: { name: 'Ben', role: 'node', password: '1234567890' }, status: 422, pointer: '/role', cure: '"owner"|"operator"|"technician"|"viewer"' },
  { method: 'POST', url: '/api/v1/people', payload: { name: ' ', role: 'owner', password: '123456789' }, status: 422, pointer: '/password', cure: 'at least 10 characters' },
  { method: 'POST', url: '/api/v1/programs', payload: {}, status: 422, pointer: '/title', cure: 'is missing: give a text' },
  { method: 'PUT', url: '/api/v1/settings', payload: { site: { id: 'q', title: 'Q', timeZone: 'Europe/Atlantis' } }, status: 422, pointer: '/site/timeZone', cure: 'such as Europe/Brussels' },
  { method: 'PUT', url: '/api/v1/settings', payload: { site: { id: 'q', title: 'Q' }, limts: {} }, status: 422, pointer: '/limts', cure: 'check the spelling' },
  { method: 'PUT', url: '/api/v1/settings', payload: [], status: 422, pointer: '', cure: 'must be an object, not a list' },
] // prettier-ignore

describe('bad input', () => {
  it.each(BAD)(
    'INPUT-1 $method $url names $pointer and the cure',
    async ({ status, pointer, cure, ...request }) => {
      const response = await shop.send('owner', {
        method: request.method ?? 'GET',
        url: request.url,
        ...(request.payload === undefined ? {} : { payload: request.payload as object }),
      })
      expect(response.headers['content-type']).toBe('application/problem+json')
      const problem = problemOf(response)
      expect(problem).toMatchObject({ type: 'about:blank', status, title: expect.any(String) as string })
      expect(response.statusCode).toBe(status)
      const field = problem.errors?.find((e) => e.pointer === pointer)
      expect(field?.detail, JSON.stringify(problem)).toContain(cure)
      expect(problem.detail).toContain(cure)
      expect(problem.detail).toContain(pointer.split('/').at(-1) ?? '')
    },
  )

  const raw = (payload: string, contentType: string, url = '/api/v1/programs') =>
    shop.send('owner', { method: 'POST', url, payload, headers: { 'content-type': contentType } })

  it('INPUT-2 what is not JSON, empty, too long or of another type is refused with its cure', async () => {
    const refused = await Promise.all([
      raw('{"title": "x"', 'application/json'),
      raw('', 'application/json'),
      raw(JSON.stringify({ title: 'x'.repeat(1_000_000) }), 'application/json'),
      raw('title=x', 'application/x-www-form-urlencoded'),
      raw('{"title":"x"}', 'text/plain'),
      raw('title: x', 'application/yaml'),
    ])
    expect(refused.map((r) => [r.statusCode, problemOf(r).detail])).toEqual([
      [400, 'body: is not JSON; check quotes, commas and brackets'],
      [400, 'body: is empty; send JSON, or leave Content-Type out'],
      [413, 'body: longer than 1 MB; send less'],
      [415, 'Content-Type: send application/json'],
      [415, 'Content-Type: send application/json'],
      [415, 'Content-Type: send application/json'],
    ])
    for (const r of refused) expect(r.headers['content-type']).toBe('application/problem+json')
  })

  it('INPUT-3 a body that would reach into prototypes is refused', async () => {
    const response = await raw('{"title":"x","__proto__":{"role":"owner"}}', 'application/json')
    expect(response.statusCode).toBe(400)
  })

  it('INPUT-4 no body, query or id whatever makes an answer of 500, or a refusal without words', async () => {
    const seen = await fuzzRoutes(shop, { cases: 400 })
    for (const status of [200, 400, 404, 422]) {
      expect(seen.get(status) ?? 0, `answers of ${status}`).toBeGreaterThan(10)
    }
  }, 60_000)
})
