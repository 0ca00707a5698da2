import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { ANSWER_KEPT_MS } from '../../services/web/sent-once.ts'
import { openWebShop, problemOf, type WebShop } from '../parts/web-shop.ts'

let shop: WebShop
beforeEach(async () => {
  shop = await openWebShop()
})
afterEach(() => shop.close())

const CARE = { care: 'cleaned', channelGroupIds: [] }
const say = (key: string, payload: object = CARE, role: 'owner' | 'operator' = 'operator') =>
  shop.send(role, {
    method: 'POST',
    url: '/api/v1/machines/roll/care',
    payload,
    headers: { 'idempotency-key': key },
  })

describe('what is sent twice is done once', () => {
  it('ONCE-1 the same key and body are done once and answered the same', async () => {
    const first = await say('k1')
    const second = await say('k1')
    expect([first.statusCode, second.statusCode]).toEqual([204, 204])
    expect(shop.monitor.submitted).toHaveLength(1)
    await say('k2')
    expect(shop.monitor.submitted).toHaveLength(2)
  })

  it('ONCE-2 a refusal is answered again word for word', async () => {
    shop.monitor.answer({ ok: false, code: 'conflict', reason: 'id: it is over; reload the list' })
    const first = await say('k1')
    shop.monitor.answer({ ok: true })
    const second = await say('k1')
    expect(first.statusCode).toBe(409)
    expect([second.statusCode, second.body]).toEqual([409, first.body])
    expect(second.headers['content-type']).toBe(first.headers['content-type'])
  })

  it('ONCE-3 the same key with another body is refused, and the first stands', async () => {
    await say('k1')
    const other = await say('k1', { care: 'printed', channelGroupIds: [] })
    expect(other.statusCode).toBe(422)
    expect(problemOf(other).detail).toMatch(/Idempotency-Key: was used for something else/)
    expect((await say('k1')).statusCode).toBe(204)
    expect(shop.monitor.submitted).toHaveLength(1)
  })

  it("ONCE-4 a key is one person's own", async () => {
    await say('k1')
    await say('k1', CARE, 'owner')
    expect(shop.monitor.submitted.map((a) => ('act' in a ? a.act?.actorId : null))).toEqual([
      'person-operator',
      'person-owner',
    ])
  })

  it('ONCE-5 a key is remembered for 24 hours', async () => {
    await say('k1')
    shop.wait(ANSWER_KEPT_MS)
    await say('k1')
    expect(shop.monitor.submitted).toHaveLength(1)
    shop.wait(1)
    await say('k1')
    expect(shop.monitor.submitted).toHaveLength(2)
  })

  it('ONCE-6 what the monitor could not do may be tried again with the same key', async () => {
    const submit = shop.monitor.submit
    shop.monitor.submit = () => Promise.reject(new Error('the disk is full'))
    expect((await say('k1')).statusCode).toBe(500)
    shop.monitor.submit = submit
    expect((await say('k1')).statusCode).toBe(204)
    expect(shop.monitor.submitted).toHaveLength(1)
  })

  it('ONCE-7 two at once with one key are done once; the second is told to come back', async () => {
    const codes = (await Promise.all([say('k1'), say('k1')])).map((r) => r.statusCode).sort()
    expect(codes).toEqual([204, 503])
    expect(shop.monitor.submitted).toHaveLength(1)
  })

  it('ONCE-8 after a stop in the middle nobody guesses: it says to look first', async () => {
    const submit = shop.monitor.submit
    let entered = (): void => undefined
    const inside = new Promise<void>((resolve) => (entered = resolve))
    shop.monitor.submit = () => {
      entered()
      return new Promise(() => undefined)
    }
    void say('k1')
    await inside
    // Another app on the same store, as after a start: it never saw the first arrive.
    const again = await shop.reopened()
    shop.monitor.submit = submit
    const answer = await again.inject({
      method: 'POST',
      url: '/api/v1/machines/roll/care',
      payload: CARE,
      headers: { origin: 'http://localhost:80', ...shop.headersOf('operator'), 'idempotency-key': 'k1' },
    })
    expect(answer.statusCode).toBe(409)
    expect(problemOf(answer).detail).toMatch(/look, and say it again only if it is not/)
    expect(shop.monitor.submitted).toHaveLength(0)
    await again.close()
  })

  it('ONCE-9 a key of the wrong form, or where an answer may hold a secret, is refused', async () => {
    expect((await say('no spaces please')).statusCode).toBe(400)
    const node = await shop.send('owner', {
      method: 'POST',
      url: '/api/v1/nodes',
      payload: { id: 'bench' },
      headers: { 'idempotency-key': 'k1' },
    })
    expect(node.statusCode).toBe(400)
    expect(problemOf(node).detail).toMatch(/leave it out/)
  })

  it.each([
    ['closing/steps/cover', { machineId: null, done: true }],
    ['disposals', { bottleId: null, volumeMl: 1500, toWhom: 'the collector', disposedMs: 1_750_000_000_000 }],
    ['symptoms', { machineId: 'roll', symptom: 'missingNozzles' }],
    ['nozzle-checks', { machineId: 'roll', reason: 'routine', missing: [] }],
    ['cleanings', { machineId: 'roll', care: 'cleaned' }],
    ['log-notes', { subject: { kind: 'machine', id: 'roll' }, text: 'a new roll of film' }],
    ['head-changes', { machineId: 'roll', headId: 'roll-head' }],
  ])('ONCE-10 what waits on a phone is taken with a key, once: %s', async (path, payload) => {
    const send = () =>
      shop.send('operator', {
        method: 'POST',
        url: `/api/v1/${path}`,
        payload,
        headers: { 'idempotency-key': 'k1' },
      })
    const [first, second] = [await send(), await send()]
    expect(first.statusCode, first.body).toBeLessThan(300)
    expect([second.statusCode, second.body]).toEqual([first.statusCode, first.body])
    expect(shop.monitor.submitted).toHaveLength(1)
  })
})

describe('people and their codes', () => {
  const asOwner = (method: 'GET' | 'POST' | 'PUT' | 'DELETE', url: string, payload?: object) =>
    shop.send('owner', { method, url: `/api/v1/people${url}`, ...(payload ? { payload } : {}) })
  const come = (path: string) =>
    shop.send(null, {
      method: 'POST',
      url: '/api/v1/session/link',
      payload: { code: path.replace('/#sign-in=', '') },
    })

  it('LINK-1 a link signs its person in once, and stops waiting when it was used', async () => {
    const made = await asOwner('POST', '', { name: 'Ben', role: 'operator' })
    const { id } = made.json<{ id: string }>()
    const link = (await asOwner('POST', `/${id}/sign-in-link`)).json<{ path: string; leftMs: number }>()
    expect(link.leftMs).toBe(15 * 60_000)
    expect((await asOwner('GET', `/${id}/sign-in-link`)).json()).toEqual({ waiting: true })
    expect((await come(link.path)).json()).toMatchObject({ person: { name: 'Ben', role: 'operator' } })
    expect((await asOwner('GET', `/${id}/sign-in-link`)).json()).toEqual({ waiting: false })
    expect((await come(link.path)).statusCode).toBe(401)
  })

  it('LINK-2 a newer link ends the one before of the same person, and of nobody else', async () => {
    shop.headersOf('operator')
    shop.headersOf('technician')
    const of = async (id: string) =>
      (await asOwner('POST', `/person-${id}/sign-in-link`)).json<{ path: string }>().path
    const [old, other] = [await of('operator'), await of('technician')]
    const fresh = await of('operator')
    expect((await come(old)).statusCode).toBe(401)
    expect((await come(fresh)).statusCode).toBe(200)
    expect((await come(other)).statusCode).toBe(200)
    expect((await asOwner('POST', '/nobody/sign-in-link')).statusCode).toBe(404)
  })

  it('LINK-3 whoever was added without a password comes in by no password', async () => {
    await asOwner('POST', '', { name: 'Ben', role: 'operator' })
    const tried = await shop.send(null, {
      method: 'POST',
      url: '/api/v1/session',
      payload: { name: 'Ben', password: 'undefined' },
    })
    expect(tried.statusCode).toBe(401)
  })

  it('ROLE-1 a role holds from the next request on; the last owner keeps it', async () => {
    const operator = shop.headersOf('operator')
    const read = () => shop.app.inject({ url: '/api/v1/settings', headers: operator })
    expect((await read()).statusCode).toBe(403)
    expect((await asOwner('PUT', '/person-operator/role', { role: 'technician' })).statusCode).toBe(204)
    expect((await read()).statusCode).toBe(200)
    const last = await asOwner('PUT', '/person-owner/role', { role: 'viewer' })
    expect([last.statusCode, problemOf(last).title]).toEqual([409, 'A shop needs an owner'])
    await asOwner('PUT', '/person-operator/role', { role: 'owner' })
    expect((await asOwner('PUT', '/person-owner/role', { role: 'viewer' })).statusCode).toBe(204)
  })
})
