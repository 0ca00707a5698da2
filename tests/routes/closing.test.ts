import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { openWebShop, problemOf, type WebShop } from '../parts/web-shop.ts'

let shop: WebShop
beforeAll(async () => {
  shop = await openWebShop()
})
afterAll(() => shop.close())

describe('the closing list over HTTP', () => {
  it('is read with its verdict, and names nobody who is not known', async () => {
    const answer = await shop.send('viewer', { method: 'GET', url: '/api/v1/closing' })
    expect(answer.statusCode).toBe(200)
    expect(answer.json()).toMatchObject({ verdict: { ready: false }, finished: null, names: {} })
  })
  it('a step is ticked and taken back with who did it; the list is begun and finished', async () => {
    const post = (url: string, payload?: object) =>
      shop.send('operator', {
        method: 'POST',
        url: `/api/v1/closing/${url}`,
        ...(payload ? { payload } : {}),
      })
    await post('begin')
    await post('steps/wiper', { machineId: 'roll', done: true })
    await post('steps/heat-off', { machineId: null, done: false })
    expect((await post('finish')).statusCode).toBe(204)
    const act = expect.objectContaining({ actorId: 'person-operator' }) as unknown
    expect(shop.monitor.submitted).toEqual([
      { type: 'closingBegun', act },
      { type: 'closingStepTicked', act, stepId: 'wiper', machineId: 'roll', done: true },
      { type: 'closingStepTicked', act, stepId: 'heat-off', machineId: null, done: false },
      { type: 'closingFinished', act },
    ])
  })
  it('a body that does not say what is done is refused, naming the field', async () => {
    const answer = await shop.send('operator', {
      method: 'POST',
      url: '/api/v1/closing/steps/wiper',
      payload: { machineId: null },
    })
    expect(answer.statusCode).toBe(422)
    expect(problemOf(answer).errors?.map((e) => e.pointer)).toEqual(['/done'])
  })
})
