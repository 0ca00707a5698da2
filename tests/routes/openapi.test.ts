import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { openWebShop, problemOf, type WebShop } from '../parts/web-shop.ts'

interface Operation {
  operationId?: string
  summary?: string
  responses?: Record<string, { description?: string; content?: Record<string, { schema?: object }> }>
  parameters?: { name: string; in: string; required?: boolean; schema?: object }[]
  requestBody?: { content: Record<string, { schema?: object }> }
}
interface Description {
  openapi: string
  info: { title: string; version: string }
  paths: Record<string, Record<string, Operation>>
}

let shop: WebShop
let description: Description
beforeAll(async () => {
  shop = await openWebShop()
  description = (await shop.app.inject({ url: '/api/openapi.json' })).json()
})
afterAll(() => shop.close())

const operations = () =>
  Object.entries(description.paths).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, operation]) => ({ path, method, operation })),
  )

describe('the OpenAPI description (OpenAPI Specification 3.1.0)', () => {
  it('OPEN-1 names its version and lists every route of the API, no more and no fewer', () => {
    expect(description.openapi).toBe('3.1.0')
    const served = shop.routes
      .flatMap(({ method, url }) =>
        [method].flat().map((m) => `${m.toLowerCase()} ${url.replace(/:(\w+)/g, '{$1}')}`),
      )
      .filter((route) => !route.startsWith('head ') && !route.endsWith('/*'))
    expect(
      operations()
        .map(({ path, method }) => `${method} ${path}`)
        .sort(),
    ).toEqual([...served].sort())
  })

  it('OPEN-2 every operation has an id of its own, a summary, a good answer and the problem answer', () => {
    const ids = operations().map(({ operation }) => operation.operationId)
    expect(new Set(ids).size).toBe(ids.length)
    for (const { path, operation } of operations()) {
      expect(operation.operationId, path).toMatch(/^[a-z][A-Za-z]+$/)
      expect(operation.summary, path).toMatch(/\w/)
      const responses = operation.responses ?? {}
      expect(
        Object.keys(responses).some((status) => status.startsWith('2')),
        path,
      ).toBe(true)
      expect(Object.keys(responses['default']?.content ?? {}), path).toEqual(['application/problem+json'])
      for (const response of Object.values(responses)) expect(response.description, path).toMatch(/\w/)
    }
  })

  it('OPEN-3 every part in braces is a required path parameter, and every body has a schema', () => {
    for (const { path, operation } of operations()) {
      const named = [...path.matchAll(/\{(\w+)\}/g)].map((m) => m[1])
      const given = (operation.parameters ?? []).filter((p) => p.in === 'path')
      expect(
        given.map((p) => p.name),
        path,
      ).toEqual(named)
      expect(
        given.every((p) => p.required === true && p.schema !== undefined),
        path,
      ).toBe(true)
      for (const { schema } of Object.values(operation.requestBody?.content ?? {}))
        expect(schema, path).toBeTypeOf('object')
    }
  })

  it('OPEN-4 no reference points at nothing', () => {
    const references = [...JSON.stringify(description).matchAll(/"\$ref":"([^"]+)"/g)].map((m) => m[1] ?? '')
    for (const reference of references) {
      const found = reference
        .slice(2)
        .split('/')
        .reduce<unknown>((at, part) => (at as Record<string, unknown>)[part], description)
      expect(found, reference).toBeTypeOf('object')
    }
  })
})

describe("the monitor's own health", () => {
  it('HEALTH-1 is told to anyone: 200 when well, 503 with the problems when not', async () => {
    expect((await shop.app.inject({ url: '/healthz' })).json()).toEqual({ ok: true, problems: [] })
    shop.monitor.be({ ok: false, problems: ['the disk is full'] })
    const ill = await shop.app.inject({ url: '/healthz' })
    expect([ill.statusCode, ill.json()]).toEqual([503, { ok: false, problems: ['the disk is full'] }])
    shop.monitor.be({ ok: true, problems: [] })
  })

  it('HEALTH-2 metrics are OpenMetrics text 1.0: typed, counters end in _total, the end is marked', async () => {
    await shop.send('owner', { url: '/api/v1/tasks/none' })
    const response = await shop.send('technician', { url: '/metrics' })
    expect(response.headers['content-type']).toBe(
      'application/openmetrics-text; version=1.0.0; charset=utf-8',
    )
    const lines = response.body.split('\n')
    expect(response.body.endsWith('# EOF\n')).toBe(true)
    expect(lines).toContain('# TYPE nightcap_readings counter')
    expect(lines).toContain('nightcap_readings_total 0')
    expect(lines).toContain('nightcap_healthy 1')
    expect(response.body).toContain(
      'nightcap_http_request_seconds_count{method="GET",route="/api/v1/tasks/:id",status="404"} 1',
    )
    const typed = new Set(lines.filter((l) => l.startsWith('# TYPE ')).map((l) => l.split(' ')[2]))
    for (const line of lines.filter((l) => l !== '' && !l.startsWith('#'))) {
      const name = line.split(/[ {]/)[0] ?? ''
      expect(typed.has(name.replace(/_(total|bucket|sum|count)$/, '')) || typed.has(name), line).toBe(true)
    }
  })

  it('HEALTH-3 what breaks inside is not told outside', async () => {
    const { board } = shop.monitor
    shop.monitor.board = () => {
      throw new Error('SQLITE_CORRUPT in /var/lib/nightcap')
    }
    const response = await shop.send('owner', { url: '/api/v1/board' })
    shop.monitor.board = board
    expect(problemOf(response)).toEqual({
      type: 'about:blank',
      title: 'Something broke inside',
      status: 500,
      detail: 'this is not your doing; the log of the monitor says more',
    })
  })
})
