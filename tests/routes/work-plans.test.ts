import { parse } from 'csv-parse/sync'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { disposal, task } from '../contracts/record-samples.ts'
import { openWebShop, problemOf, type WebShop } from '../parts/web-shop.ts'

let shop: WebShop
beforeEach(async () => {
  shop = await openWebShop()
})
afterEach(() => shop.close())

const post = (url: string, payload: object) => shop.send('operator', { method: 'POST', url, payload })
const keep = (...effects: Parameters<WebShop['book']['applyEffects']>[1]) =>
  shop.book.transaction(() => shop.book.applyEffects(1, effects))

describe('work that is planned', () => {
  it('PLAN-1 a task is given to a person who is there, put off with a reason; others are refused with a cure', async () => {
    keep({ type: 'taskChanged', task: task('t'), atMs: 1 })
    shop.headersOf('technician')
    const url = '/api/v1/tasks/t'
    expect((await post(`${url}/assignment`, { assigneeId: 'person-technician' })).statusCode).toBe(204)
    expect(problemOf(await post(`${url}/assignment`, { assigneeId: 'nobody' }))).toMatchObject({
      status: 422,
    })
    expect(
      (await post(`${url}/deferral`, { untilMs: 1_800_000_900_000, reason: 'no wipes' })).statusCode,
    ).toBe(204)
    expect((await post('/api/v1/tasks/none/deferral', { untilMs: null })).statusCode).toBe(404)
    expect(shop.monitor.submitted).toMatchObject([
      { type: 'taskAssigned', taskId: 't', assigneeId: 'person-technician' },
      { type: 'taskDeferred', taskId: 't', reason: 'no wipes' },
    ])
  })

  it('PLAN-2 what sensors say now stands beside an open task', async () => {
    keep({ type: 'taskChanged', task: task('t', { workKey: 'emptyBottle|bottle:roll-waste' }), atMs: 1 })
    const { proofNow } = (await shop.send('viewer', { url: '/api/v1/tasks/t' })).json<{ proofNow: object }>()
    expect(proofNow).toMatchObject({ verdict: 'contradicted', text: 'The weight has not fallen.' })
  })

  it('PLAN-3 symptoms of a machine come with their check and reason, and become a task', async () => {
    const { symptoms } = (await shop.send('operator', { url: '/api/v1/symptoms/roll' })).json<{
      symptoms: { symptom: string; story: string[] }[]
    }>()
    expect(symptoms.find((s) => s.symptom === 'missingNozzles')?.story).toEqual([
      'In the last 4 days nothing was seen that dries its ink.',
    ])
    expect((await post('/api/v1/symptoms', { machineId: 'roll', symptom: 'marksOnFilm' })).statusCode).toBe(
      201,
    )
    expect((await shop.send('operator', { url: '/api/v1/symptoms/none' })).statusCode).toBe(404)
  })
})

describe('the disposal log', () => {
  it('DISPOSE-1 a correction keeps its id; CSV (RFC 4180) reads back, and no cell is a formula', async () => {
    const entry = {
      bottleId: 'roll-waste',
      volumeMl: 900,
      toWhom: '=HYPERLINK("x")',
      note: 'a, "b"',
      disposedMs: 1,
    }
    expect((await post('/api/v1/disposals', entry)).statusCode).toBe(201)
    keep({ type: 'disposalLogged', disposal: disposal('d', entry), atMs: 1 })
    const put = { method: 'PUT', url: '/api/v1/disposals/d', payload: { ...entry, volumeMl: 950 } } as const
    expect((await shop.send('operator', put)).statusCode).toBe(204)
    expect(shop.monitor.submitted.at(-1)).toMatchObject({ disposalId: 'd', volumeMl: 950 })
    const csv = await shop.send('operator', { url: '/api/v1/disposals.csv' })
    expect(csv.body.split('\r\n')).toHaveLength(3)
    const [row] = parse<Record<string, string>>(csv.body, { columns: true })
    expect(row).toMatchObject({ volume_ml: '900', note: 'a, "b"', to_whom: '\'=HYPERLINK("x")' })
  })
})

describe('a long disposal log', () => {
  const log = (id: string, disposedMs: number) =>
    keep({ type: 'disposalLogged', disposal: disposal(id, { disposedMs }), atMs: 1 })
  type Log = {
    disposals: { disposalId: string; corrections: number }[]
    entries: { disposalId: string; corrections: number }[]
    moreBeforeMs: number | null
  }
  const ask = async (url: string) => (await shop.send('operator', { url: `/api/v1/${url}` })).json<Log>()

  it('DISPOSE-2 ends at its limit and says so; those of one moment stay together', async () => {
    ;[10, 20, 30, 30, 40].forEach((atMs, n) => log(`d${n}`, atMs))
    log('d4', 40)
    const first = await ask('disposals?limit=2')
    expect(first.disposals.map((d) => [d.disposalId, d.corrections])).toEqual([['d4', 1]])
    expect(first.moreBeforeMs).toBe(31)
    const rest = await ask('disposals?limit=4&to=31')
    expect(rest.disposals.map((d) => d.disposalId)).toEqual(['d3', 'd2', 'd1', 'd0'])
    expect(rest.moreBeforeMs).toBeNull()
  })

  it('DISPOSE-2 beyond the newest 2,000, the table holds all, and the logbook goes on', async () => {
    const day = 86_400_000
    for (let n = 0; n <= 2_000; n++) log(`d${n}`, 1_700_000_000_000 - n * day * 0.01)
    log('oldest', 1_650_000_000_000)
    expect((await ask('disposals')).moreBeforeMs).not.toBeNull()
    const csv = await shop.send('operator', { url: '/api/v1/disposals.csv' })
    expect(csv.body.split('\r\n')).toHaveLength(1 + 2_002 + 1)
    const old = await ask('logbook?kind=disposal&to=1660000000000')
    expect(old.entries.map((d) => [d.disposalId, d.corrections])).toEqual([['oldest', 0]])
  })
})

describe('the calendar feed', () => {
  it('CALENDAR-1 a secret address gives open tasks and coming routines, until it is revoked', async () => {
    keep({ type: 'taskChanged', task: task('t', { title: 'Räume auf; jetzt, 日本語 '.repeat(6) }), atMs: 1 })
    const made = await shop.send('owner', {
      method: 'POST',
      url: '/api/v1/calendars',
      payload: { title: 'Mira' },
    })
    const { id, path } = made.json<{ id: string; path: string }>()
    const feed = await shop.app.inject({ url: path })
    expect(feed.headers['content-type']).toContain('text/calendar')
    // RFC 5545, section 3.1: lines of at most 75 octets, ended by CRLF; section 3.3.11: escaped text.
    const lines = feed.body.split('\r\n')
    for (const line of lines) expect(Buffer.byteLength(line)).toBeLessThanOrEqual(75)
    const unfolded = feed.body.replaceAll('\r\n ', '')
    expect(unfolded).toContain('SUMMARY:Räume auf\\; jetzt\\, 日本語')
    expect(unfolded).toContain('UID:t@quayside.nightcap')
    expect(unfolded.match(/BEGIN:VEVENT/g)?.length).toBeGreaterThan(20)
    expect(shop.log()).not.toContain(path.slice(10, 40))
    expect((await shop.send('owner', { method: 'DELETE', url: `/api/v1/calendars/${id}` })).statusCode).toBe(
      204,
    )
    expect((await shop.app.inject({ url: path })).statusCode).toBe(404)
  })
})
