import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { toSettingsYaml } from '../../services/codecs/settings-file.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { openWebShop, problemOf, type WebShop } from '../parts/web-shop.ts'

let shop: WebShop
beforeEach(async () => {
  shop = await openWebShop()
})
afterEach(() => shop.close())

const put = (payload: string | object, contentType = 'application/json') =>
  shop.send('owner', {
    method: 'PUT',
    url: '/api/v1/settings',
    payload,
    headers: { 'content-type': contentType },
  })
const sensorIds = () => shop.monitor.settings().sensors.map((s) => s.id)

describe('settings', () => {
  it('SET-1 are read, changed and read back; the change carries who made it', async () => {
    const settings = (await shop.send('owner', { url: '/api/v1/settings' })).json<
      ReturnType<typeof testSettings>
    >()
    expect(settings).toEqual(testSettings())
    settings.site.title = 'Quayside, second floor'
    expect((await put(settings)).statusCode).toBe(204)
    expect(shop.monitor.submitted.at(-1)).toMatchObject({
      type: 'settings',
      act: { actorId: 'person-owner', via: 'screen', atMs: shop.monitor.nowMs() },
      settings: { site: { title: 'Quayside, second floor' } },
    })
  })

  it('SET-2 go out as a YAML file and come back as the same', async () => {
    const file = await shop.send('owner', {
      url: '/api/v1/settings',
      headers: { accept: 'application/yaml' },
    })
    expect(file.headers['content-type']).toBe('application/yaml; charset=utf-8')
    expect(file.body).toBe(toSettingsYaml(testSettings()))
    expect((await put(file.body, 'application/yaml')).statusCode).toBe(204)
    expect(shop.monitor.settings()).toEqual(testSettings())
  })

  it('SET-3 a misspelt key in the file is named with its line; nothing is changed', async () => {
    const text = toSettingsYaml(testSettings()).replace('openBelow:', 'openBelwo:')
    const line = text.split('\n').findIndex((l) => l.includes('openBelwo')) + 1
    const response = await put(text, 'application/yaml')
    expect(response.statusCode).toBe(422)
    expect(problemOf(response).errors).toContainEqual({
      pointer: '/limits/airDryPct/openBelwo',
      detail: `line ${line}: openBelwo is not known here: check the spelling, or leave it out`,
    })
    expect(shop.monitor.submitted).toEqual([])
  })

  it('SET-4 each wrong field comes with its pointer, all at once', async () => {
    const settings = testSettings()
    const wrong = {
      ...settings,
      machines: settings.machines.map((m) => ({ ...m, room: 'attic' })),
      bottles: settings.bottles.map((b) => ({ ...b, machines: ['press'] })),
    }
    expect(problemOf(await put(wrong)).errors).toEqual([
      { pointer: '/machines/0/room', detail: 'there is no room attic: add it under rooms' },
      { pointer: '/bottles/0/machines/0', detail: 'there is no machine press: add it under machines' },
    ])
  })

  it('SET-5 many sensors assigned at once are all there afterwards', async () => {
    const ids = Array.from({ length: 12 }, (_, i) => `bench/air-${i}`)
    const answers = await Promise.all(
      ids.map((id) =>
        shop.send('owner', {
          method: 'POST',
          url: '/api/v1/sensors/assignment',
          payload: { id, quantity: 'humidity', subject: { kind: 'room', id: 'floor' } },
        }),
      ),
    )
    expect(answers.map((a) => a.statusCode)).toEqual(ids.map(() => 204))
    expect(sensorIds()).toEqual(expect.arrayContaining(ids))
  })

  it('SET-6 assigning a sensor again replaces what was said of it; forgetting it leaves the others', async () => {
    const payload = {
      id: 'bench/humidity',
      title: 'By the window',
      quantity: 'humidity',
      subject: { kind: 'room', id: 'floor' },
    }
    await shop.send('owner', { method: 'POST', url: '/api/v1/sensors/assignment', payload })
    expect(shop.monitor.settings().sensors.filter((s) => s.id === 'bench/humidity')).toMatchObject([
      { title: 'By the window' },
    ])
    const forget = { method: 'DELETE', url: '/api/v1/sensors/assignment/bench%2Fhumidity' } as const
    expect((await shop.send('owner', forget)).statusCode).toBe(204)
    expect(sensorIds()).toEqual(['bench/temperature', 'bench/powered', 'bench/bottle'])
    expect((await shop.send('owner', forget)).statusCode).toBe(404)
  })

  it('SET-7 the history says who changed what when, by name', async () => {
    shop.headersOf('owner')
    const act = (actorId: string) => ({ actorId, via: 'screen' as const, atMs: 5 })
    for (const [i, actorId] of ['monitor', 'person-owner'].entries()) {
      const at = { seq: i + 1, atMs: i, receivedMs: i }
      shop.book.transaction(() =>
        shop.book.appendInput({ type: 'settings', ...at, act: act(actorId), settings: testSettings() }),
      )
    }
    const { history } = (await shop.send('technician', { url: '/api/v1/settings/history' })).json<{
      history: { by: string | null; atMs: number }[]
    }>()
    expect(history.map(({ by, atMs }) => [by, atMs])).toEqual([
      ['The owner', 1],
      [null, 0],
    ])
  })
})
