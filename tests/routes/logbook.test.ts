import { setImmediate } from 'node:timers/promises'
import { parse } from 'csv-parse/sync'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { noteInLog } from '../../services/core/kernel/log-entries.ts'
import type { LogEntry } from '../../services/core/model/log-entry.ts'
import { careEntry, disposal, headChange, logNote, nozzleCheck } from '../contracts/record-samples.ts'
import { openWebShop, problemOf, type WebShop } from '../parts/web-shop.ts'

const NOW = 1_800_000_000_000
const HOUR = 3_600_000
let shop: WebShop
beforeEach(async () => {
  shop = await openWebShop()
})
afterEach(() => shop.close())

const post = (url: string, payload: object, headers: Record<string, string> = {}) =>
  shop.send('owner', { method: 'POST', url: `/api/v1${url}`, payload, headers })
const get = (url: string) => shop.send('operator', { url: `/api/v1${url}` })
const keep = (...entries: LogEntry[]) =>
  shop.book.transaction(() =>
    shop.book.applyEffects(
      1,
      entries.map((entry) => ({ type: 'logEntryNoted', entry, atMs: 1 })),
    ),
  )
/** What the real monitor would have made of what was said so far. */
const takeDown = () => {
  const acts = shop.monitor.submitted.splice(0)
  for (const act of acts) {
    if (act.type !== 'logEntriesNoted') continue
    const input = { ...act, seq: 1, atMs: act.act.atMs, receivedMs: act.act.atMs }
    noteInLog(input, (effect) => shop.book.transaction(() => shop.book.applyEffects(1, [effect])))
  }
}

describe('what is new in the logbook', () => {
  it('a check without a time was made now; of a time given, then; programs may log one', async () => {
    const check = {
      machineId: 'roll',
      reason: 'routine',
      missing: [{ channelGroupId: 'roll-white', missingNozzles: 2, places: [7] }],
    }
    expect((await post('/nozzle-checks', check)).statusCode).toBe(201)
    const sent = {
      method: 'POST',
      url: '/api/v1/nozzle-checks',
      payload: { ...check, checkedMs: 5, note: 'x' },
    } as const
    expect((await shop.send('program', sent)).statusCode).toBe(201)
    expect(shop.monitor.submitted).toMatchObject([
      {
        type: 'nozzleCheckLogged',
        ...check,
        checkedMs: NOW,
        note: '',
        checkId: expect.stringMatching(/^check-/) as string,
      },
      { type: 'nozzleCheckLogged', checkedMs: 5, note: 'x', act: { via: 'program' } },
    ])
  })
  it('a cleaning of now wets the ink, one of the past is written down alone', async () => {
    const care = { machineId: 'roll', care: 'cleaned' }
    await post('/cleanings', care)
    await post('/cleanings', { ...care, doneMs: 9, helpedSaid: 'yes' })
    expect(shop.monitor.submitted).toMatchObject([
      { type: 'careLogged', ...care, channelGroupIds: [], helpedSaid: null },
      {
        type: 'logEntriesNoted',
        entries: [{ kind: 'care', ...care, doneMs: 9, helpedSaid: 'yes', void: false }],
      },
    ])
  })
  it('a note and a new head', async () => {
    await post('/log-notes', { subject: { kind: 'bottle', id: 'roll-waste' }, text: ' cracked lid ' })
    await post('/head-changes', { machineId: 'roll', headId: 'roll-head' })
    expect(shop.monitor.submitted).toMatchObject([
      { type: 'logEntriesNoted', entries: [{ kind: 'note', text: 'cracked lid', atMs: NOW }] },
      { type: 'headChanged', headId: 'roll-head', changedMs: NOW, note: '' },
    ])
    expect(
      problemOf(await post('/log-notes', { subject: { kind: 'site', id: 'quayside' }, text: ' ' })),
    ).toMatchObject({
      status: 422,
      errors: [{ pointer: '/text', detail: 'write the note first' }],
    })
  })
  it.each(['/nozzle-checks', '/cleanings', '/log-notes', '/head-changes'])(
    '%s sent twice with one key is taken once',
    async (url) => {
      const body = {
        '/nozzle-checks': { machineId: 'roll', reason: 'routine', missing: [] },
        '/cleanings': { machineId: 'roll', care: 'cleaned' },
        '/log-notes': { subject: { kind: 'machine', id: 'roll' }, text: 'x' },
        '/head-changes': { machineId: 'roll', headId: 'roll-head' },
      }[url]
      const key = { 'idempotency-key': 'once' }
      const answers = [await post(url, body ?? {}, key), await post(url, body ?? {}, key)]
      expect(answers.map((a) => a.statusCode)).toEqual([201, 201])
      expect(shop.monitor.submitted).toHaveLength(1)
    },
  )
})

describe('what stands in the logbook', () => {
  it('is listed, corrected and voided, with its history by name', async () => {
    keep(nozzleCheck('c', { checkedMs: NOW - HOUR }))
    const said = {
      machineId: 'roll',
      checkedMs: NOW - 2 * HOUR,
      reason: 'suspicion',
      missing: [],
      note: 'the clock was wrong',
    }
    expect((await post('/nozzle-checks/c/corrections', { said })).statusCode).toBe(204)
    takeDown()
    const list = (await get('/nozzle-checks?machineId=roll')).json<{ entries: object[] }>()
    expect(list.entries).toMatchObject([{ checkId: 'c', ...said, by: 'The owner', corrections: 1 }])
    await post('/nozzle-checks/c/corrections', { said, void: true })
    takeDown()
    expect((await get('/nozzle-checks')).json()).toEqual({ entries: [], moreFromMs: null })
    const { entries } = (await get('/nozzle-checks/c/history')).json<{ entries: object[] }>()
    expect(entries).toMatchObject([
      { void: false, by: null },
      { void: false, by: 'The owner' },
      { void: true },
    ])
  })
  it('a correction of what is not there, or without what is said, is refused with a cure', async () => {
    const said = { machineId: 'roll', care: 'cleaned', doneMs: 1 }
    expect(problemOf(await post('/cleanings/none/corrections', { said }))).toMatchObject({ status: 404 })
    expect((await get('/log-notes/none/history')).statusCode).toBe(404)
    keep(careEntry('k'))
    expect(problemOf(await post('/cleanings/k/corrections', {}))).toMatchObject({ status: 422 })
  })
  it('the page has all kinds, the last first, with machine, kind and whether a cleaning helped', async () => {
    const missing = [{ channelGroupId: 'roll-white', missingNozzles: 3 }]
    keep(
      nozzleCheck('before', { checkedMs: NOW - 4 * HOUR, missing }),
      careEntry('k', { doneMs: NOW - 3 * HOUR }),
      nozzleCheck('after', { checkedMs: NOW - 2 * HOUR }),
      logNote('n', { atMs: NOW - HOUR }),
      headChange('h', { changedMs: NOW - 5 * HOUR, machineId: 'other' }),
    )
    const d = { ...disposal('d', { disposedMs: NOW - 30 * 60_000 }) }
    shop.book.transaction(() => shop.book.applyEffects(1, [{ type: 'disposalLogged', disposal: d, atMs: 1 }]))
    type Feed = {
      entries: { kind: string; helped?: string }[]
      machines: object[]
      moreBeforeMs: number | null
    }
    const feed = (await get('/logbook')).json<Feed>()
    expect(feed.entries.map((e) => e.kind)).toEqual([
      'disposal',
      'note',
      'nozzleCheck',
      'care',
      'nozzleCheck',
      'headChange',
    ])
    expect([feed.entries[3]?.helped, feed.moreBeforeMs]).toEqual(['yes', null])
    expect(feed.machines).toMatchObject([
      { id: 'roll', heads: [{ channelGroups: [{ title: 'Colour' }, { title: 'White' }] }] },
    ])
    const kinds = async (query: string) =>
      (await get(`/logbook?${query}`)).json<Feed>().entries.map((e) => e.kind)
    expect(await kinds('kind=care')).toEqual(['care'])
    expect(await kinds('machineId=other')).toEqual(['headChange'])
    expect(await kinds(`from=${NOW - 3 * HOUR}&to=${NOW - HOUR}`)).toEqual(['nozzleCheck', 'care'])
    expect((await get('/logbook?kind=weather')).statusCode).toBe(400)
  })
  it('of many the last 500 are shown, and the page goes on where they end', async () => {
    keep(...Array.from({ length: 700 }, (_, n) => nozzleCheck(`c${n}`, { checkedMs: NOW - n * 24 * HOUR })))
    type Feed = { entries: { checkId: string }[]; moreBeforeMs: number | null }
    const first = (await get('/logbook')).json<Feed>()
    expect([first.entries.length, first.entries[0]?.checkId, first.entries.at(-1)?.checkId]).toEqual([
      500,
      'c0',
      'c499',
    ])
    keep(nozzleCheck('same', { checkedMs: NOW - 499 * 24 * HOUR }))
    expect((await get('/logbook')).json<Feed>().entries).toHaveLength(501)
    const rest = (await get(`/logbook?to=${first.moreBeforeMs}`)).json<Feed>()
    expect([rest.entries.length, rest.entries[0]?.checkId, rest.moreBeforeMs]).toEqual([200, 'c500', null])
  })
  it('a list of one kind ends at its limit and says where the next begins; entries of one moment stay together', async () => {
    keep(
      ...[0, 1, 2, 2, 3].map((day, n) => nozzleCheck(`c${n}`, { checkedMs: NOW - (400 - 200 * day) * HOUR })),
    )
    keep(nozzleCheck('c1', { checkedMs: NOW - 200 * HOUR, note: 'again' }))
    type List = { entries: { checkId: string; corrections: number }[]; moreFromMs: number | null }
    const list = async (query: string) => {
      const { entries, moreFromMs } = (await get(`/nozzle-checks?${query}`)).json<List>()
      return { ids: entries.map((e) => `${e.checkId} ${e.corrections}`), moreFromMs }
    }
    const first = await list(`limit=3&from=0&to=${NOW + 999 * HOUR}`)
    expect(first).toEqual({ ids: ['c0 0', 'c1 1', 'c2 0', 'c3 0'], moreFromMs: NOW + 1 })
    const rest = await list(`limit=3&from=${first.moreFromMs}&to=${NOW + 999 * HOUR}`)
    expect(rest).toEqual({ ids: ['c4 0'], moreFromMs: null })
    expect(await list('limit=4')).toMatchObject({ moreFromMs: null })
    expect((await get('/nozzle-checks?limit=1001')).statusCode).toBe(400)
  })
  it('is exported as CSV of each kind', async () => {
    keep(
      nozzleCheck('c', { note: '=1+1' }),
      careEntry('k', { channelGroupIds: ['roll-white'] }),
      logNote('n'),
      headChange('h'),
    )
    const rows = async (path: string) =>
      parse((await get(`/${path}.csv`)).body, { columns: true }) as unknown as object[]
    expect(await rows('nozzle-checks')).toMatchObject([
      {
        id: 'c',
        machine: 'roll',
        channel_group: 'roll-colour',
        channel_group_title: 'Colour',
        missing_nozzles: '0',
        note: "'=1+1",
      },
      { channel_group: 'roll-white' },
    ])
    expect(await rows('cleanings')).toMatchObject([
      { care: 'cleaned', channel_groups: 'roll-white', helped: 'unknown' },
    ])
    expect(await rows('log-notes')).toMatchObject([
      { about: 'room', subject: 'floor', subject_title: 'Print floor' },
    ])
    expect(await rows('head-changes')).toMatchObject([{ head: 'roll-head' }])
  })
})

describe('a file brought into the logbook', () => {
  const HEAD = 'checked_at,machine,channel_group,missing_nozzles,reason,note\n'
  const text = `${HEAD}2026-03-14 07:30,roll,roll-white,3,routine,<script>\n2026-03-15 07:30,roll,roll-white,0,routine,\nyesterday,roll,roll-white,0,,\n`
  const bring = async (way: 'import' | 'import/preview', kind = 'nozzleCheck', csv = text) => {
    const url = way === 'import' ? '/logbook/import' : '/logbook/import/preview'
    return (await post(url, { kind, text: csv })).json<Record<string, unknown>>()
  }

  it('PLAN-1 the preview changes nothing; the file adds what is new, and again nothing', async () => {
    const preview = {
      rows: 3,
      fresh: 2,
      known: 0,
      conflicts: 0,
      bad: 1,
      badLines: [{ line: 4, field: 'checked_at' }],
    }
    expect(await bring('import/preview')).toMatchObject({ ...preview, sample: [{ note: '<script>' }, {}] })
    expect(shop.monitor.submitted).toEqual([])
    expect(await bring('import')).toMatchObject(preview)
    expect(shop.monitor.submitted).toMatchObject([{ type: 'logEntriesNoted', entries: [{}, {}] }])
    takeDown()
    expect(shop.records.nozzleChecks({ fromMs: 0, toMs: NOW })).toHaveLength(2)
    expect(await bring('import')).toMatchObject({ fresh: 0, known: 2, bad: 1 })
    expect(shop.monitor.submitted).toEqual([])
  })
  it('PLAN-2, PLAN-3 what was logged by hand in that minute is known when it says the same, and stays when it does not', async () => {
    const checkedMs = Date.parse('2026-03-14T06:30:41Z')
    const missing = [{ channelGroupId: 'roll-white', missingNozzles: 3, places: [1] }]
    keep(nozzleCheck('mine', { checkedMs, missing, note: '<script>' }))
    expect(await bring('import/preview')).toMatchObject({ fresh: 1, known: 1, conflicts: 0 })
    keep(nozzleCheck('mine', { checkedMs, missing, note: 'other' }))
    expect(await bring('import/preview')).toMatchObject({
      fresh: 1,
      known: 0,
      conflicts: 1,
      conflictLines: [{ line: 2 }],
    })
  })
  it('PLAN-3 what was voided here does not come back', async () => {
    await bring('import')
    takeDown()
    const [check] = shop.records.nozzleChecks({ fromMs: 0, toMs: NOW })
    if (check) keep({ ...check, void: true })
    expect(await bring('import')).toMatchObject({ fresh: 0, known: 2 })
  })
  it('PLAN-3 nor what was logged here by hand and voided, though the file names no id; what was said instead counts', async () => {
    const checkedMs = Date.parse('2026-03-14T06:30:41Z')
    const missing = [{ channelGroupId: 'roll-white', missingNozzles: 3, places: [] }]
    keep(nozzleCheck('mine', { checkedMs, missing, note: '<script>', void: true }))
    expect(await bring('import/preview')).toMatchObject({ fresh: 1, known: 1, conflicts: 0 })
    keep(nozzleCheck('instead', { checkedMs, missing, note: 'other' }))
    expect(await bring('import/preview')).toMatchObject({ fresh: 1, known: 0, conflicts: 1 })
  })
  it('what was exported is known here, by its id', async () => {
    keep(
      nozzleCheck('c', { checkedMs: NOW - HOUR }),
      nozzleCheck('e', { checkedMs: NOW - HOUR }),
      logNote('n'),
      careEntry('k'),
      headChange('h'),
    )
    for (const [path, kind, known] of [
      ['nozzle-checks', 'nozzleCheck', 2],
      ['cleanings', 'care', 1],
      ['log-notes', 'note', 1],
      ['head-changes', 'headChange', 1],
    ] as const) {
      const csv = (await get(`/${path}.csv`)).body
      expect(await bring('import/preview', kind, csv)).toMatchObject({
        fresh: 0,
        known,
        conflicts: 0,
        bad: 0,
        ignored: [],
      })
    }
  })
  it('a long file goes in by several inputs, none of more than 500 entries', async () => {
    const day = (n: number) => new Date(Date.parse('2024-01-01') + n * 86_400_000).toISOString().slice(0, 10)
    const lines = Array.from({ length: 800 }, (_, n) => `${day(n)},roll,roll-white,${n % 3},routine,`)
    expect(await bring('import', 'nozzleCheck', HEAD + lines.join('\n'))).toMatchObject({ fresh: 800 })
    const sizes = shop.monitor.submitted.map((a) => (a.type === 'logEntriesNoted' ? a.entries.length : 0))
    expect(sizes).toEqual([500, 300])
  })
  it('a file that is too long is refused', async () => {
    const answer = await post('/logbook/import', { kind: 'note', text: 'x'.repeat(5_000_001) })
    expect(problemOf(answer)).toMatchObject({
      status: 422,
      detail: expect.stringContaining('cut it into several') as string,
    })
  })
})

describe('long files', { timeout: 120_000 }, () => {
  /** How many requests of others, one after the other, were answered before this was done. */
  const answeredDuring = async (work: Promise<unknown>): Promise<number> => {
    let isOver = false
    const over = work.finally(() => (isOver = true))
    let answered = 0
    // Requests that are injected take no turn of the event loop by themselves, as those of a network do.
    for (; !isOver; await setImmediate()) {
      expect((await get('/quiet')).statusCode).toBe(200)
      answered++
    }
    await over
    return answered
  }

  it('FILE-1 others are answered while a file is written', async () => {
    keep(...Array.from({ length: 3_000 }, (_, n) => nozzleCheck(`c${n}`, { checkedMs: NOW - n * HOUR })))
    const file = get('/nozzle-checks.csv')
    expect(await answeredDuring(file)).toBeGreaterThan(20)
    expect((await file).body.split('\r\n')).toHaveLength(2 * 3_000 + 2)
  })
  it('IMPORT-6 others are answered while a file is read', async () => {
    const line = (n: number) => `${new Date(NOW - n * HOUR).toISOString()},roll,roll-white,1,routine,`
    const text = ['checked_at,machine,channel_group,missing_nozzles,reason,note']
      .concat(Array.from({ length: 10_000 }, (_, n) => line(n)))
      .join('\n')
    const preview = post('/logbook/import/preview', { kind: 'nozzleCheck', text })
    expect(await answeredDuring(preview)).toBeGreaterThan(50)
    expect((await preview).json()).toMatchObject({ rows: 10_000, fresh: 10_000, bad: 0 })
  })
})
