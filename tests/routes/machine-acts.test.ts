import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { openWebShop, problemOf, type WebShop } from '../parts/web-shop.ts'

let shop: WebShop
beforeEach(async () => {
  shop = await openWebShop()
})
afterEach(() => shop.close())

const post = (url: string, payload: object) =>
  shop.send('operator', { method: 'POST', url: `/api/v1${url}`, payload })

describe('what people say at a machine', () => {
  it('goes on the log with who said it, how, and of which machine', async () => {
    expect((await post('/machines/roll/care', { care: 'cleaned' })).statusCode).toBe(204)
    expect((await post('/machines/roll/cap', { capped: false })).statusCode).toBe(204)
    expect((await post('/machines/roll/servicing', { servicing: true })).statusCode).toBe(204)
    expect((await post('/machines/roll/error-stop', { stopped: true })).statusCode).toBe(204)
    const act = { actorId: 'person-operator', via: 'screen' }
    expect(shop.monitor.submitted).toMatchObject([
      { type: 'careLogged', machineId: 'roll', care: 'cleaned', channelGroupIds: [], act },
      { type: 'capSaid', machineId: 'roll', capped: false, act },
      { type: 'servicingSaid', machineId: 'roll', servicing: true, act },
      { type: 'errorStopSaid', machineId: 'roll', stopped: true, act },
    ])
  })
  it('a program that runs the machine may log what it printed', async () => {
    const answer = await shop.send('program', {
      method: 'POST',
      url: '/api/v1/machines/roll/care',
      payload: { care: 'printed', channelGroupIds: ['roll-white'] },
    })
    expect(answer.statusCode).toBe(204)
    expect(shop.monitor.submitted).toMatchObject([
      { act: { via: 'program' }, channelGroupIds: ['roll-white'] },
    ])
  })
  it('bad input names the field and the cure', async () => {
    const wrong = await post('/machines/roll/care', { care: 'licked' })
    expect(problemOf(wrong)).toMatchObject({ status: 422, errors: [{ pointer: '/care' }] })
    expect(problemOf(await post('/machines/roll/cap', {}))).toMatchObject({ status: 422 })
    expect(shop.monitor.submitted).toEqual([])
  })
  it('a refusal of the monitor is passed on with its reason', async () => {
    shop.monitor.answer({ ok: false, code: 'unknown', reason: 'machineId: there is no machine attic' })
    expect(problemOf(await post('/machines/attic/cap', { capped: true }))).toMatchObject({
      status: 404,
      detail: 'machineId: there is no machine attic',
    })
  })
})

describe('planned quiet', () => {
  it('is planned with an id of its own, and ended by it', async () => {
    const plan = { kind: 'powerWork', machineId: null, fromMs: 1_000, toMs: 2_000, note: 'new socket' }
    expect((await post('/quiet', plan)).statusCode).toBe(204)
    expect(shop.monitor.submitted).toMatchObject([{ type: 'quietPlanned', ...plan }])
    const [said] = shop.monitor.submitted
    expect(said?.type === 'quietPlanned' && said.quietId.length).toBe(12)
    const ended = await shop.send('operator', { method: 'DELETE', url: '/api/v1/quiet/abc' })
    expect(ended.statusCode).toBe(204)
    expect(shop.monitor.submitted[1]).toMatchObject({ type: 'quietEnded', quietId: 'abc' })
    expect((await shop.send('viewer', { url: '/api/v1/quiet' })).json()).toEqual({ quiets: [] })
  })
})

describe('what was learned', () => {
  it('that waits is accepted as it is, with who accepted it; a viewer may not', async () => {
    const list = await shop.send('owner', { url: '/api/v1/learned' })
    expect(list.json()).toMatchObject({ inForce: [], waiting: [{ kind: 'cleaningInterval', hours: 4 }] })
    const url = '/api/v1/learned/cleaningInterval%7Croll/acceptance'
    expect((await shop.send('operator', { method: 'POST', url })).statusCode).toBe(403)
    expect((await shop.send('owner', { method: 'POST', url })).statusCode).toBe(204)
    expect(shop.monitor.submitted).toMatchObject([
      { type: 'learned', waiting: false, learned: { subjectId: 'roll' }, act: { actorId: 'person-owner' } },
    ])
  })
  it('of a key that does not wait there is nothing to accept', async () => {
    const url = '/api/v1/learned/powerBands%7Croll/acceptance'
    expect((await shop.send('owner', { method: 'POST', url })).statusCode).toBe(404)
  })
})
