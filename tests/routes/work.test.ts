import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { Alarm } from '../../services/core/model/alarm.ts'
import { taskSchema, type Task } from '../../services/core/model/task.ts'
import { bucketWidthMs } from '../../services/web/routes/series.ts'
import { openWebShop, problemOf, type WebShop } from '../parts/web-shop.ts'

let shop: WebShop
beforeEach(async () => {
  shop = await openWebShop()
})
afterEach(() => shop.close())

const ALARM: Alarm = {
  id: 'airDry|room:floor|1000',
  rootKey: 'airDry|room:floor',
  condition: 'airDry',
  subject: { kind: 'room', id: 'floor' },
  episodeIds: ['airDry|room:floor|1000'],
  leadEpisodeId: 'airDry|room:floor|1000',
  state: 'unacknowledged',
  urgency: 'beforeOpening',
  priority: 'low',
  title: 'Print floor is dry',
  cause: '36 %RH',
  consequence: 'ink dries at the nozzles',
  action: 'add water to the air',
  timeToAct: 'before opening',
  openedMs: 1000,
  returnedMs: null,
  activations: 1,
  acknowledged: null,
  shelved: null,
  quiet: null,
  revision: 'none',
}
const TASK: Task = taskSchema.parse({
  id: 'task|airDry|room:floor|1000',
  alarmId: ALARM.id,
  subject: ALARM.subject,
  title: 'Bring the air back to 40 %RH',
  why: '36 %RH',
  steps: ['Start the humidifier'],
  cautions: [],
  supplies: [],
  urgency: 'beforeOpening',
  state: 'open',
  openedMs: 1000,
  closedMs: null,
  signedOff: null,
})
const record = (...tasks: Task[]) =>
  shop.book.transaction(() =>
    shop.book.applyEffects(1, [
      { type: 'alarmChanged', alarm: ALARM, atMs: 1000 },
      ...tasks.map((task) => ({ type: 'taskChanged' as const, task, atMs: task.closedMs ?? 1000 })),
    ]),
  )
const post = (url: string, payload?: object) =>
  shop.send('operator', { method: 'POST', url, ...(payload ? { payload } : {}) })

describe('alarms and tasks', () => {
  it('WORK-1 open alarms are listed; "I am on it" carries who and through what', async () => {
    record()
    expect((await shop.send('viewer', { url: '/api/v1/alarms' })).json()).toEqual({
      alarms: [{ ...ALARM, acknowledgedBy: null, shelvedBy: null }],
    })
    const response = await post(`/api/v1/alarms/${encodeURIComponent(ALARM.id)}/acknowledgement`)
    expect([response.statusCode, response.body]).toEqual([204, ''])
    expect(shop.monitor.submitted).toEqual([
      {
        type: 'alarmAcknowledged',
        alarmId: ALARM.id,
        act: { actorId: 'person-operator', via: 'screen', atMs: shop.monitor.nowMs() },
      },
    ])
  })

  it('a test of a contact is asked by the owner, and a refusal says why', async () => {
    const test = () => shop.send('owner', { method: 'POST', url: '/api/v1/contacts/lena/test' })
    expect((await test()).statusCode).toBe(204)
    const atMs = shop.monitor.nowMs()
    expect(shop.monitor.submitted).toEqual([
      {
        type: 'noticeTestAsked',
        contactId: 'lena',
        act: { actorId: 'person-owner', via: 'screen', atMs },
      },
    ])
    const reason = 'contactId: there is no contact lena; add it under Setup'
    shop.monitor.answer({ ok: false, code: 'unknown', reason })
    const refused = await test()
    expect([refused.statusCode, problemOf(refused).detail]).toEqual([404, reason])
  })

  it('WORK-2 tasks are listed open or closed, with the name of who signed', async () => {
    shop.headersOf('operator')
    const signedOff = { actorId: 'person-operator', via: 'screen' as const, atMs: 3000, note: 'done' }
    record(TASK, { ...TASK, id: 'older', state: 'signedOff', closedMs: 3000, signedOff })
    expect((await shop.send('viewer', { url: '/api/v1/tasks' })).json()).toEqual({
      tasks: [{ ...TASK, signedOffBy: null, assignee: null, proofNow: null }],
    })
    const closed = (await shop.send('viewer', { url: '/api/v1/tasks?state=closed' })).json<{
      tasks: object[]
    }>()
    expect(closed.tasks).toMatchObject([{ id: 'older', signedOffBy: 'The operator' }])
    shop.accounts.removePerson('person-operator', 4000)
    expect((await shop.send('viewer', { url: '/api/v1/tasks/older' })).json()).toMatchObject({
      signedOffBy: null,
    })
  })

  it('WORK-3 a sign-off takes a note or none; one for no task is 404, one too late 409', async () => {
    record(TASK)
    const url = `/api/v1/tasks/${encodeURIComponent(TASK.id)}/sign-off`
    expect((await post(url)).statusCode).toBe(204)
    expect((await post(url, { note: 'water was empty' })).statusCode).toBe(204)
    expect(shop.monitor.submitted).toMatchObject([{ note: '' }, { note: 'water was empty', taskId: TASK.id }])
    expect((await post('/api/v1/tasks/none/sign-off')).statusCode).toBe(404)
    shop.monitor.answer({ ok: false, code: 'conflict', reason: 'this task is no longer open' })
    const late = await post(url)
    expect(problemOf(late)).toMatchObject({ status: 409, detail: 'this task is no longer open' })
  })

  it('WORK-4 a refused nozzle check says why, with the status that fits', async () => {
    const payload = { machineId: 'roll', reason: 'routine', missing: [] }
    expect((await post('/api/v1/nozzle-checks', payload)).statusCode).toBe(201)
    shop.monitor.answer({ ok: false, code: 'invalid', reason: 'missing: Roll 60 has no channel group gold' })
    expect(problemOf(await post('/api/v1/nozzle-checks', payload))).toMatchObject({
      status: 422,
      detail: 'missing: Roll 60 has no channel group gold',
    })
    shop.monitor.answer({ ok: false, code: 'unknown', reason: 'machineId: there is no machine roll' })
    expect((await post('/api/v1/nozzle-checks', payload)).statusCode).toBe(404)
  })
})

describe('series', () => {
  it('SERIES-1 readings come in buckets; an empty bucket is left out', async () => {
    const MIN = 60_000
    const t0 = Date.UTC(2026, 2, 1)
    const readings = [0, 1, 2, 7].map((m) => ({
      sensorId: 'bench/humidity',
      quantity: 'humidity' as const,
      atMs: t0 + m * MIN,
      value: 40 + m,
    }))
    shop.book.transaction(() =>
      shop.book.appendInput({
        seq: 1,
        type: 'readings',
        nodeId: 'bench',
        atMs: t0,
        receivedMs: t0,
        readings,
      }),
    )
    const url = `/api/v1/series/bench%2Fhumidity?from=${t0}&to=${t0 + 20 * MIN}&points=10`
    expect((await shop.send('program', { url })).json()).toEqual({
      sensorId: 'bench/humidity',
      quantity: 'humidity',
      unit: '%RH',
      bucketMs: 2 * MIN,
      points: [
        [t0, 40, 40.5, 41],
        [t0 + 2 * MIN, 42, 42, 42],
        [t0 + 6 * MIN, 47, 47, 47],
      ],
      from: 'book',
      note: null,
    })
    const unknown = await shop.send('program', { url: url.replace('humidity', 'other') })
    expect(problemOf(unknown)).toMatchObject({ status: 404 })
  })

  it('SERIES-2 a bucket is never so narrow that there are more than asked for', () => {
    for (const [spanMs, points] of [
      [1, 5000],
      [3_600_000, 500],
      [31e9, 1500],
      [8.64e15, 10],
    ] as const) {
      expect(spanMs / bucketWidthMs(spanMs, points)).toBeLessThanOrEqual(points)
    }
  })
})

describe('secrets of nodes and programs', () => {
  const asOwner = (method: 'POST' | 'DELETE', url: string, payload?: object) =>
    shop.send('owner', { method, url: `/api/v1${url}`, ...(payload ? { payload } : {}) })

  it('SECRET-1 a node gets 256 random bits, shown once and stored as SHA-256', async () => {
    const made = await asOwner('POST', '/nodes', { id: 'dryer', title: 'By the dryer' })
    const { secret } = made.json<{ secret: string }>()
    expect(made.statusCode).toBe(201)
    expect(Buffer.from(secret, 'base64url')).toHaveLength(32)
    expect(shop.monitor.settings().nodes.at(-1)).toEqual({ id: 'dryer', title: 'By the dryer' })
    expect(JSON.stringify(shop.accounts.credential('node', 'dryer'))).not.toContain(secret)
    expect((await asOwner('POST', '/nodes', { id: 'dryer' })).statusCode).toBe(409)
  })

  it('SECRET-2 a new secret replaces the old, a revoked one is gone, and the monitor hears of both', async () => {
    const first = (await asOwner('POST', '/nodes', { id: 'dryer' })).json<{ secret: string }>()
    const second = (await asOwner('POST', '/nodes/dryer/secret')).json<{ secret: string }>()
    expect(second.secret).not.toBe(first.secret)
    expect((await asOwner('DELETE', '/nodes/dryer/secret')).statusCode).toBe(204)
    expect((await asOwner('DELETE', '/nodes/dryer/secret')).statusCode).toBe(404)
    expect(shop.accounts.credential('node', 'dryer')?.revokedMs).not.toBeNull()
    expect(shop.monitor.changedSecrets).toEqual(['dryer', 'dryer', 'dryer'])
    expect((await asOwner('POST', '/nodes/stranger/secret')).statusCode).toBe(404)
  })

  it('SECRET-3 a program reads with its token until it is removed', async () => {
    const { id, secret } = (await asOwner('POST', '/programs', { title: 'Job log' })).json<{
      id: string
      secret: string
    }>()
    const board = () =>
      shop.app.inject({ url: '/api/v1/board', headers: { authorization: `Bearer ${secret}` } })
    expect((await board()).statusCode).toBe(200)
    const list = await shop.send('owner', { url: '/api/v1/programs' })
    expect(list.json()).toEqual({ programs: [{ id, title: 'Job log' }] })
    expect((await asOwner('DELETE', `/programs/${id}`)).statusCode).toBe(204)
    expect((await board()).statusCode).toBe(401)
  })

  it('PEOPLE-1 names are taken once whatever their case, and the last owner stays', async () => {
    const ben = { name: 'Ben', role: 'operator', password: 'a long enough password' }
    expect((await asOwner('POST', '/people', ben)).json()).toMatchObject({ name: 'Ben', role: 'operator' })
    expect((await asOwner('POST', '/people', { ...ben, name: 'BEN' })).statusCode).toBe(409)
    const last = await asOwner('DELETE', '/people/person-owner')
    expect(problemOf(last)).toMatchObject({
      status: 409,
      detail: expect.stringContaining('last owner') as string,
    })
  })

  it('LOG-1 no password, code, token or secret is in the log, at its most talkative', async () => {
    const password = 'correct horse battery'
    const { code } = shop.codes.issueFirstOwnerCode()
    const secrets = [password, code]
    const headers = { origin: 'http://localhost:80' }
    const owner = await shop.app.inject({
      method: 'POST',
      url: '/api/v1/session/first-owner',
      headers,
      payload: { code, name: 'Ada', password },
    })
    const cookie = owner.cookies[0]?.value ?? ''
    const as = { ...headers, cookie: `nightcap_session=${cookie}` }
    const node = await shop.app.inject({
      method: 'POST',
      url: '/api/v1/nodes',
      headers: as,
      payload: { id: 'dryer' },
    })
    const program = await shop.app.inject({
      method: 'POST',
      url: '/api/v1/programs',
      headers: as,
      payload: { title: 'x' },
    })
    const token = program.json<{ secret: string }>().secret
    secrets.push(cookie, node.json<{ secret: string }>().secret, token)
    await shop.app.inject({ url: '/api/v1/board', headers: { authorization: `Bearer ${token}` } })
    await shop.app.inject({
      method: 'POST',
      url: '/api/v1/session',
      headers,
      payload: `{"password":"${password}",`,
    })
    shop.monitor.board = () => {
      throw new Error('broken on purpose')
    }
    expect((await shop.app.inject({ url: '/api/v1/board', headers: as })).statusCode).toBe(500)
    expect(secrets.every((s) => s.length > 10)).toBe(true)
    expect(shop.log()).toContain('/api/v1/session/first-owner')
    expect(shop.log()).toContain('broken on purpose')
    for (const secret of secrets) expect(shop.log()).not.toContain(secret)
  })
})
