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

const MEANT = [
  'GET /api/v1/session: anyone',
  'POST /api/v1/session: anyone',
  'POST /api/v1/session/first-owner: anyone',
  'POST /api/v1/session/link: anyone',
  'DELETE /api/v1/session: anyone',
  'DELETE /api/v1/sessions: anyone',
  'GET /api/v1/board: seeBoard',
  'GET /api/v1/machines: seeBoard',
  'GET /api/v1/rooms: seeBoard',
  'GET /api/v1/alarms: seeBoard',
  'POST /api/v1/alarms/:id/acknowledgement: acknowledgeAlarms',
  'GET /api/v1/closing: seeTasks',
  'POST /api/v1/closing/begin: doClosing',
  'POST /api/v1/closing/steps/:id: doClosing',
  'POST /api/v1/closing/finish: doClosing',
  'GET /api/v1/morning: seeTasks',
  'POST /api/v1/morning/seen: acknowledgeAlarms',
  'POST /api/v1/alarms/:id/shelving: shelveAlarms',
  'DELETE /api/v1/alarms/:id/shelving: shelveAlarms',
  'GET /api/v1/alarms/measures: seeAlarmMeasures',
  'POST /api/v1/contacts/:id/test: manageTelling',
  'POST /api/v1/contacts/:id/webhook-secret: manageTelling',
  'GET /api/v1/telling: manageTelling',
  'PUT /api/v1/telling/mail-password: manageTelling',
  'POST /api/v1/telling/push-key: manageTelling',
  'GET /api/v1/deliveries: manageTelling',
  'GET /api/v1/devices: useOwnDevice',
  'GET /api/v1/devices/push-key: useOwnDevice',
  'POST /api/v1/devices: useOwnDevice',
  'DELETE /api/v1/devices/:id: useOwnDevice',
  'GET /r/look.css: anyone',
  'GET /r/:token: anyone',
  'POST /r/:token: anyone',
  'GET /api/v1/tasks: seeTasks',
  'GET /api/v1/tasks/:id: seeTasks',
  'POST /api/v1/tasks/:id/sign-off: signOffTasks',
  'GET /api/v1/tasks.csv: seeTasks',
  'GET /api/v1/task-people: seeTasks',
  'POST /api/v1/tasks/:id/assignment: planTasks',
  'POST /api/v1/tasks/:id/deferral: planTasks',
  'GET /api/v1/routines: seeTasks',
  'POST /api/v1/routines/:id/start: planTasks',
  'GET /api/v1/symptoms/:machineId: seeTasks',
  'POST /api/v1/symptoms: planTasks',
  'GET /api/v1/disposals: seeDisposals',
  'GET /api/v1/disposals.csv: seeDisposals',
  'GET /api/v1/disposals/:id/history: seeDisposals',
  'POST /api/v1/disposals: logDisposals',
  'PUT /api/v1/disposals/:id: logDisposals',
  'GET /api/v1/causes: seeCauses',
  'POST /api/v1/causes/computations: seeCauses',
  'DELETE /api/v1/causes/computations: seeCauses',
  'GET /api/v1/causes/nights.csv: seeCauses',
  'GET /api/v1/calendars: manageCalendars',
  'POST /api/v1/calendars: manageCalendars',
  'DELETE /api/v1/calendars/:id: manageCalendars',
  'GET /calendar/:file: anyone',
  'GET /api/v1/learned: seeLearned',
  'POST /api/v1/learned/:key/acceptance: acceptLearned',
  'POST /api/v1/machines/:id/care: workOnMachines',
  'POST /api/v1/machines/:id/cap: workOnMachines',
  'POST /api/v1/machines/:id/servicing: workOnMachines',
  'POST /api/v1/machines/:id/error-stop: workOnMachines',
  'POST /api/v1/nozzle-checks: logNozzleChecks',
  'POST /api/v1/cleanings: writeLogbook',
  'POST /api/v1/log-notes: writeLogbook',
  'POST /api/v1/head-changes: writeLogbook',
  ...['nozzle-checks', 'cleanings', 'log-notes', 'head-changes'].flatMap((path) => [
    `GET /api/v1/${path}: seeLogbook`,
    `GET /api/v1/${path}.csv: seeLogbook`,
    `GET /api/v1/${path}/:id/history: seeLogbook`,
    `POST /api/v1/${path}/:id/corrections: ${path === 'nozzle-checks' ? 'logNozzleChecks' : 'writeLogbook'}`,
  ]),
  'GET /api/v1/logbook: seeLogbook',
  'POST /api/v1/logbook/import: importLogbook',
  'POST /api/v1/logbook/import/preview: importLogbook',
  'GET /api/v1/quiet: seeBoard',
  'POST /api/v1/quiet: planQuiet',
  'DELETE /api/v1/quiet/:id: planQuiet',
  'GET /api/v1/machines/:id/power: seeLearned',
  'GET /api/v1/series/:sensorId: seeReadings',
  'GET /api/v1/readings.csv: exportReadings',
  'GET /api/v1/sensors: seeSensors',
  'POST /api/v1/sensors/assignment: changeSettings',
  'DELETE /api/v1/sensors/assignment/:sensorId: changeSettings',
  'POST /api/v1/sensors/replacement: changeSettings',
  'GET /api/v1/settings: seeSettings',
  'PUT /api/v1/settings: changeSettings',
  'POST /api/v1/settings/preview: changeSettings',
  'GET /api/v1/settings/history: seeSettings',
  'GET /api/v1/settings/changes: seeSettings',
  'POST /api/v1/settings/changes: changeSettings',
  'GET /api/v1/settings/limits: seeSettings',
  'GET /api/v1/reruns/limits: runReruns',
  'GET /api/v1/reruns/newest: runReruns',
  'POST /api/v1/reruns: runReruns',
  'GET /api/v1/reruns/:id: runReruns',
  'DELETE /api/v1/reruns/:id: runReruns',
  'POST /api/v1/reruns/:id/use: changeSettings',
  'POST /api/v1/nodes: manageNodes',
  'GET /api/v1/nodes/way-in: manageNodes',
  'DELETE /api/v1/nodes/:id: manageNodes',
  'POST /api/v1/nodes/:id/secret: manageNodes',
  'DELETE /api/v1/nodes/:id/secret: manageNodes',
  'GET /api/v1/people: managePeople',
  'POST /api/v1/people: managePeople',
  'DELETE /api/v1/people/:id: managePeople',
  'PUT /api/v1/people/:id/role: managePeople',
  'POST /api/v1/people/:id/sign-in-link: managePeople',
  'GET /api/v1/people/:id/sign-in-link: managePeople',
  'GET /api/v1/programs: managePrograms',
  'POST /api/v1/programs: managePrograms',
  'DELETE /api/v1/programs/:id: managePrograms',
  'GET /api/v1/events: seeBoard',
  'GET /api/v1/history.csv: seeReadings',
  'GET /api/v1/history: seeReadings',
  'GET /api/openapi.json: anyone',
  'GET /healthz: anyone',
  'GET /metrics: seeMetrics',
  'GET /*: anyone',
]

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
    // Some files are written on a thread, which takes seconds to begin from source on a busy machine.
    120_000,
  )

  it('MAY-2 every route asks for the permission that it is meant to ask for', () => {
    const declared = shop.routes.flatMap(({ method, url, config }) =>
      [method]
        .flat()
        .filter((m) => m !== 'HEAD')
        .map((m) => `${m} ${url}: ${config?.permission}`),
    )
    expect(declared.sort()).toEqual([...MEANT].sort())
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
