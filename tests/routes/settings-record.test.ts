import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { toSettingsYaml } from '../../services/codecs/settings-file.ts'
import type { Settings } from '../../services/core/model/settings.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { openWebShop, problemOf, type WebShop } from '../parts/web-shop.ts'

let shop: WebShop
beforeEach(async () => {
  shop = await openWebShop()
})
afterEach(() => shop.close())

const url = '/api/v1/settings'
const renamed = (title: string): Settings => {
  const settings = testSettings()
  return { ...settings, site: { ...settings.site, title } }
}
const versionNow = async () => (await shop.send('owner', { url })).headers['etag'] ?? ''
const put = (payload: object, headers: Record<string, string> = {}) =>
  shop.send('owner', { method: 'PUT', url, payload, headers })

/** Puts what was submitted into the book, as the real monitor does. */
function record(): void {
  shop.monitor.submitted.forEach((act, at) => {
    if (act.type !== 'settings') return
    const stamp = { seq: at + 1, atMs: act.act.atMs, receivedMs: act.act.atMs }
    shop.book.transaction(() => shop.book.appendInput({ ...act, ...stamp }))
  })
}

describe('two people change the settings at once', () => {
  it('ETAG-1 a change made from the settings as they are is taken, one made from older ones is refused with words', async () => {
    const version = await versionNow()
    expect((await put(renamed('One'), { 'if-match': version })).statusCode).toBe(204)
    const late = await put(renamed('Two'), { 'if-match': version })
    expect(late.statusCode).toBe(412)
    expect(problemOf(late).title).toContain('Someone else changed the settings')
    expect(shop.monitor.settings().site.title).toBe('One')
  })

  it('ETAG-2 two at the same moment: one is taken, one refused, whatever the order', async () => {
    const version = await versionNow()
    const answers = await Promise.all(
      ['One', 'Two'].map((title) => put(renamed(title), { 'if-match': version })),
    )
    expect(answers.map((a) => a.statusCode).toSorted()).toEqual([204, 412])
  })

  it('ETAG-3 the same settings have the same version; a change without one replaces what stands', async () => {
    const version = await versionNow()
    expect(await versionNow()).toBe(version)
    expect((await put(renamed('One'))).statusCode).toBe(204)
    expect((await put(testSettings())).statusCode).toBe(204)
    expect(await versionNow()).toBe(version)
  })
})

describe('a settings file before it is applied', () => {
  const preview = (payload: string, type = 'application/yaml') =>
    shop.send('owner', {
      method: 'POST',
      url: `${url}/preview`,
      payload,
      headers: { 'content-type': type },
    })

  it('PREVIEW-1 says in words what would change, with the version to apply it on, and changes nothing', async () => {
    const settings = testSettings()
    settings.limits.airDryPct.openBelow = 38
    const answer = await preview(toSettingsYaml(settings))
    expect(answer.json()).toEqual({
      version: await versionNow(),
      differences: [{ path: 'limits.airDryPct.openBelow', text: 'Dry air, told below: from 40 to 38 %RH' }],
    })
    expect(shop.monitor.submitted).toEqual([])
  })

  it('PREVIEW-2 names every fault with field, line and cure', async () => {
    const text = toSettingsYaml(testSettings())
      .replace('timeZone: Europe/Brussels', 'timeZone: 7')
      .replace('room: floor', 'room: [1]')
    const answer = await preview(text)
    expect(answer.statusCode).toBe(422)
    expect(problemOf(answer).errors?.map(({ pointer }) => pointer)).toEqual([
      '/site/timeZone',
      '/machines/0/room',
    ])
    expect(problemOf(answer).errors?.every(({ detail }) => /^line \d+: must be /.test(detail))).toBe(true)
  })

  it('PREVIEW-3 the file that goes out holds no secret', async () => {
    const file = await shop.send('owner', { url, headers: { accept: 'application/yaml' } })
    expect(file.headers['content-disposition']).toContain('nightcap-settings.yaml')
    expect(file.body).not.toMatch(/secret|password|token/i)
  })
})

describe('what was changed, by whom and why', () => {
  it('RECORD-3 the list tells it in words with the name and the reason', async () => {
    expect(
      (
        await shop.send('owner', {
          method: 'POST',
          url: `${url}/changes`,
          payload: { settings: testSettings(), why: '' },
        })
      ).statusCode,
    ).toBe(204)
    const settings = testSettings()
    settings.limits.airDryPct.openBelow = 38
    await shop.send('owner', {
      method: 'POST',
      url: `${url}/changes`,
      payload: { settings, why: 'Three nights at 39 %RH did no harm.' },
    })
    record()
    const { changes } = (await shop.send('technician', { url: `${url}/changes` })).json<{
      changes: { by: string; why: string | null; differences: { text: string }[] }[]
    }>()
    expect(changes[0]).toMatchObject({
      by: 'The owner',
      why: 'Three nights at 39 %RH did no harm.',
      differences: [{ text: 'Dry air, told below: from 40 to 38 %RH' }],
    })
    expect(changes[1]?.why).toBeNull()
    const { limits } = (await shop.send('owner', { url: `${url}/limits` })).json<{
      limits: { path: string; value: number; set: { by: string; why: string } | null }[]
    }>()
    expect(limits.find(({ path }) => path === 'airDryPct.openBelow')).toMatchObject({
      value: 38,
      startingValue: 40,
      set: { by: 'The owner', why: 'Three nights at 39 %RH did no harm.' },
    })
    expect(limits.find(({ path }) => path === 'airDryPct.closeAbove')?.set).toBeNull()
  })

  it('says of each limit whether a re-run can try it, and a re-run can try just those', async () => {
    const { limits } = (await shop.send('owner', { url: `${url}/limits` })).json<{
      limits: { path: string; isTriable: boolean }[]
    }>()
    const choices = (await shop.send('owner', { url: '/api/v1/reruns/limits' })).json<{
      limits: { limit: string }[]
    }>()
    const triable = limits.filter((l) => l.isTriable).map((l) => l.path)
    expect(triable.toSorted()).toEqual(choices.limits.map((c) => c.limit).toSorted())
    expect(limits.find((l) => l.path === 'silent.intervals')?.isTriable).toBe(false)
  })

  it('RECORD-4 a reason that is too long is refused by name', async () => {
    const payload = { settings: testSettings(), why: 'x'.repeat(2001) }
    const answer = await shop.send('owner', { method: 'POST', url: `${url}/changes`, payload })
    expect(problemOf(answer).errors?.[0]?.pointer).toBe('/why')
  })
})

describe('nodes and sensors that go', () => {
  it('NODE-1 a node that is removed loses its secret, its place and what was said of its sensors', async () => {
    await shop.send('owner', { method: 'POST', url: '/api/v1/nodes/bench/secret' })
    const answer = await shop.send('owner', { method: 'DELETE', url: '/api/v1/nodes/bench' })
    expect(answer.statusCode).toBe(204)
    expect(shop.accounts.credential('node', 'bench')?.revokedMs).not.toBeNull()
    expect(shop.monitor.changedSecrets).toContain('bench')
    expect(shop.monitor.settings()).toMatchObject({ nodes: [], sensors: [] })
    expect((await shop.send('owner', { method: 'DELETE', url: '/api/v1/nodes/bench' })).statusCode).toBe(404)
  })

  it('NODE-2 the way in is told in parts, with the site that a node needs', async () => {
    expect((await shop.send('owner', { url: '/api/v1/nodes/way-in' })).json()).toMatchObject({
      site: 'quayside',
      broker: 'own',
      thisComputerOnly: true,
    })
  })

  it('SENSOR-1 a sensor takes the place of another in one change, with name and subject but without its calibration', async () => {
    const [humidity] = testSettings().sensors
    await put({
      ...testSettings(),
      sensors: [{ ...humidity, id: 'old/humidity', title: 'By the door' }],
    })
    const payload = { oldId: 'old/humidity', newId: 'bench/humidity' }
    const replace = () => shop.send('owner', { method: 'POST', url: '/api/v1/sensors/replacement', payload })
    expect(problemOf(await replace()).detail).toContain('unassign it first')
    shop.monitor.sensors = () => ({
      sensors: [
        {
          id: 'bench/humidity',
          title: null,
          quantity: 'humidity',
          unit: '%RH',
          assignedTo: null,
          lastValue: 44,
          lastAtMs: 1,
          silent: false,
          readings: 1,
        },
      ],
      nodes: [],
      quarantine: [],
      counts: { readings: 1, conflicts: 0, quarantined: 0, notJudged: 0, inputs: 1 },
    })
    expect((await replace()).statusCode).toBe(204)
    expect(shop.monitor.settings().sensors).toEqual([
      { ...humidity, id: 'bench/humidity', title: 'By the door' },
    ])
    expect(shop.monitor.submitted.at(-1)).toMatchObject({
      why: 'bench/humidity took the place of old/humidity.',
    })
  })
})

it('PICTURE-2 the power of a machine without a meter has no columns; an unknown machine is named', async () => {
  const found = await shop.send('technician', { url: '/api/v1/machines/roll/power' })
  expect(found.json()).toMatchObject({ columns: [], inForce: { from: 'startingValues', offBelowW: 2 } })
  expect((await shop.send('owner', { url: '/api/v1/machines/none/power' })).statusCode).toBe(404)
})
