import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { nozzleChecksCsv } from '../../../../services/codecs/log-csv.ts'
import { MOST_CSV_CHARACTERS } from '../../../../services/codecs/csv-reading.ts'
import { readLogCsv } from '../../../../services/codecs/log-csv-import.ts'
import type { LogKind, NozzleCheck } from '../../../../services/core/model/log-entry.ts'
import { nozzleCheck } from '../../../contracts/record-samples.ts'
import { testSettings } from '../../../parts/shop-settings.ts'

const NOW = Date.parse('2026-03-20T12:00:00Z')
const settings = testSettings()
const read = (text: string, kind: LogKind = 'nozzleCheck') => readLogCsv(kind, text, { settings, nowMs: NOW })
const HEAD = 'checked_at,machine,channel_group,missing_nozzles,reason,note'
const checks = (...lines: string[]) => read([HEAD, ...lines].join('\n'))
const badOf = async (...lines: string[]) =>
  (await checks(...lines)).bad.map((b) => `${b.line} ${b.field}: ${b.reason}`)

describe('a file of nozzle checks', () => {
  it('IMPORT-2 lines of one machine and time are one check, and clear channel groups are left out of what is missing', async () => {
    const { found, bad, rows } = await checks(
      '2026-03-14 07:30,roll,roll-colour,3,routine,',
      '2026-03-14 07:30,roll,White,0,routine,after the weekend',
      '2026-03-15 07:30,"Roll 60, left bench",roll-white,0,,',
    )
    expect([bad, rows]).toEqual([[], 3])
    expect(found).toMatchObject([
      {
        lines: [2, 3],
        id: null,
        entry: {
          machineId: 'roll',
          checkedMs: Date.parse('2026-03-14T06:30:00Z'),
          reason: 'routine',
          missing: [{ channelGroupId: 'roll-colour', missingNozzles: 3 }],
          note: 'after the weekend',
        },
      },
      { lines: [4], entry: { missing: [], reason: 'suspicion' } },
    ])
  })
  it('IMPORT-3 times: on the shop’s clock, with an offset, of a day alone, in UTC where the column says so', async () => {
    const timesOf = async (heading: string, ...times: string[]) =>
      (
        await read([`${heading},machine,missing_nozzles`, ...times.map((t) => `${t},roll,0`)].join('\n'))
      ).found.map((f) => (f.entry.kind === 'nozzleCheck' ? new Date(f.entry.checkedMs).toISOString() : ''))
    expect(await timesOf('checked_at', '2026-03-14 7:30', '2026-03-14T07:30:15+02:00', '2026-03-14')).toEqual(
      ['2026-03-14T06:30:00.000Z', '2026-03-14T05:30:15.000Z', '2026-03-14T11:00:00.000Z'],
    )
    expect(await timesOf('checked_at_utc', '2026-03-14T07:30')).toEqual(['2026-03-14T07:30:00.000Z'])
  })
  it('IMPORT-1 a line that cannot be taken is named by its number, its column and a cure', async () => {
    const good = '2026-03-13 07:30,roll,roll-white,0,,'
    expect(await badOf('14/3/2026,roll,roll-white,0,,', good)).toEqual([
      '2 checked_at: "14/3/2026" cannot be read as a time: write it as 2026-03-14 07:30',
    ])
    expect((await badOf('2026-02-30,roll,roll-white,0,,'))[0]).toContain('cannot be read as a time')
    expect((await badOf('2026-03-21,roll,roll-white,0,,'))[0]).toContain('lies in the future')
    expect((await badOf('2006-03-21,roll,roll-white,0,,'))[0]).toContain('more than 10 years back')
    expect(await badOf(good, '2026-03-14,bench,x,0,,')).toEqual([
      '3 machine: there is no machine "bench": name one of roll',
    ])
    expect(await badOf('2026-03-14,roll,black,1,,')).toEqual([
      '2 channel_group: Roll 60, left bench has no channel group "black": name one of roll-colour, roll-white',
    ])
    expect((await badOf('2026-03-14,roll,,1,,'))[0]).toContain('say of which channel group')
    expect((await badOf('2026-03-14,roll,roll-white,many,,'))[0]).toContain(
      'missing_nozzles: "many" is no count',
    )
    expect((await badOf('2026-03-14,roll,roll-white,-1,,'))[0]).toContain('is no count')
    expect((await badOf('2026-03-14,roll,roll-white,1,boredom,'))[0]).toContain('write routine, suspicion')
    expect((await badOf(`2026-03-14,roll,roll-white,1,,${'x'.repeat(501)}`))[0]).toContain('longer than 500')
    expect((await badOf('2026-03-14,roll,roll-white,1,,caf\uFFFD'))[0]).toContain('UTF-8')
  })
  it('IMPORT-2 a check with a line that cannot be taken is left out whole', async () => {
    const { found, bad } = await checks(
      '2026-03-14 07:30,roll,roll-colour,3,,',
      '2026-03-14 07:30,roll,roll-white,lots,,',
      '2026-03-15 07:30,roll,roll-white,1,,',
    )
    expect(found.map((f) => f.lines)).toEqual([[4]])
    expect(bad.map((b) => [b.line, b.field])).toEqual([
      [2, 'line'],
      [3, 'missing_nozzles'],
    ])
  })
  it('IMPORT-2 a channel group twice in a check, or two reasons for one, are refused', async () => {
    const twice = ['2026-03-14,roll,roll-white,3,,', '2026-03-14,roll,White,2,,']
    expect((await badOf(...twice))[1]).toBe(
      '3 channel_group: roll-white stands twice in this check: keep one line',
    )
    const reasons = ['2026-03-14,roll,roll-white,3,routine,', '2026-03-14,roll,roll-colour,2,suspicion,']
    expect((await badOf(...reasons))[1]).toContain('3 reason: is not that of line 2')
  })
  it('IMPORT-1 a file without a column, without a line, or with an open quotation mark says so', async () => {
    expect((await read('machine,missing_nozzles\nroll,0')).bad).toMatchObject([
      { line: 1, field: 'checked_at' },
    ])
    expect((await read('')).bad).toMatchObject([
      { line: 1, field: 'file', reason: expect.stringContaining('is empty') as string },
    ])
    expect((await checks('2026-03-14,roll,roll-white,0,,"open')).bad).toMatchObject([{ field: 'file' }])
    expect((await read('machine,Machine\nroll,roll')).bad[0]?.reason).toContain('stands twice')
  })
  it('reads what spreadsheets write: a mark at its beginning, semicolons, other headings, line breaks in cells', async () => {
    const text =
      '\uFEFFChecked At;Machine;Channel Group;Missing-Nozzles;Note;Weather\r\n2026-03-14;roll;White;2;"one\ntwo";rain\r\n2026-03-15;roll;White;x;;\r\n'
    const { found, bad, ignored } = await read(text)
    expect(found[0]?.entry).toMatchObject({ note: 'one\ntwo', missing: [{ missingNozzles: 2 }] })
    expect([bad.map((b) => b.line), ignored]).toEqual([[4], ['weather']])
  })
})

describe('files of cleanings, notes and new heads', () => {
  it('are read by the same rules', async () => {
    const care = await read(
      'done_at,machine,care,channel_groups,helped_said\n2026-03-14,roll,partly cleaned,Colour;White,no',
      'care',
    )
    expect(care.found[0]?.entry).toMatchObject({
      care: 'partlyCleaned',
      channelGroupIds: ['roll-colour', 'roll-white'],
      helpedSaid: 'no',
    })
    const note = await read(
      'noted_at,about,subject,text\n2026-03-14,room,floor,<b>window</b>\n2026-03-14,room,cellar,x\n2026-03-14,,,of the shop',
      'note',
    )
    expect(note.found.map((f) => f.entry)).toMatchObject([
      { subject: { kind: 'room', id: 'floor' }, text: '<b>window</b>' },
      { subject: { kind: 'site', id: 'quayside' } },
    ])
    expect(note.bad).toMatchObject([{ line: 3, field: 'subject' }])
    const head = await read(
      'id,changed_at,machine,head\na,2026-03-14,roll,Head\na,2026-03-15,roll,Head\nb,2026-03-15,roll,tail',
      'headChange',
    )
    expect(head.found).toMatchObject([{ id: 'a', entry: { headId: 'roll-head' } }])
    expect(head.bad.map((b) => [b.line, b.field])).toEqual([
      [3, 'id'],
      [4, 'head'],
    ])
  })
})

describe('long files', { timeout: 120_000 }, () => {
  const lines = function* (row: (n: number) => string, characters: number): Generator<string> {
    yield HEAD
    for (let n = 0, length = HEAD.length; ; n++) {
      const line = row(n)
      length += line.length + 1
      if (length > characters) return
      yield line
    }
  }
  const minute = (n: number) => new Date(NOW - (n % 1_000_000) * 60_000).toISOString()

  it.each([
    [
      'the longest, one check a line',
      MOST_CSV_CHARACTERS,
      (n: number) => `${minute(n)},roll,roll-white,${n % 4},routine,`,
    ],
    ['lines that cannot be taken', 1_000_000, (n: number) => `${minute(n)},roll,roll-white,many,,`],
    ['all of one check', 1_000_000, () => '2026-03-14,roll,roll-white,1,,'],
    ['nothing but commas', 1_000_000, () => ',,,,,'],
  ])('IMPORT-6 others have their turn all the while: %s', async (_, characters, row) => {
    const text = [...lines(row, characters)].join('\n')
    const rows = text.split('\n').length - 1
    // The clock is looked at for each line that has a time; the more in one turn, the longer that turn.
    let looks = 0
    let most = 0
    const context = {
      settings,
      get nowMs() {
        looks++
        return NOW
      },
    }
    let turns = 0
    let isOver = false
    const others = (): void => {
      turns++
      most = Math.max(most, looks)
      looks = 0
      if (!isOver) setImmediate(others)
    }
    setImmediate(others)
    const file = await readLogCsv('nozzleCheck', text, context)
    isOver = true
    expect(file.bad.length + file.found.length).toBeLessThanOrEqual(rows)
    // Of the text a turn for each 16 KB, and of the lines, which are gone through at least twice, one for each hundred.
    expect(turns).toBeGreaterThan(text.length / 20_000 + (2 * file.rows) / 110)
    expect(most).toBeLessThanOrEqual(250)
  })
})

/** What a file can say of a check. */
const said = ({ kind, machineId, checkedMs, reason, missing, note }: NozzleCheck) => ({
  kind,
  checkId: 'none',
  machineId,
  checkedMs,
  reason,
  missing,
  note,
  void: false,
})

describe('export and import', () => {
  it('what is exported is read back as it was, formulas and markup too', async () => {
    let noted = 0
    const check = fc.record({
      minute: fc.integer({ min: 1, max: 1_000_000 }),
      colour: fc.integer({ min: 0, max: 100_000 }),
      white: fc.integer({ min: 0, max: 9 }),
      note: fc.oneof(
        fc.constantFrom('=1+1', "'=1+1", "''-", '＝1', '<script>', '"quoted", twice', '@a;b', '-3', "it's"),
        fc.string({ maxLength: 40 }),
      ),
    })
    await fc.assert(
      fc.asyncProperty(fc.uniqueArray(check, { selector: (c) => c.minute, maxLength: 20 }), async (all) => {
        const given = all.map(({ minute, colour, white, note }, at): NozzleCheck => {
          const missing = [
            { channelGroupId: 'roll-colour', missingNozzles: colour },
            { channelGroupId: 'roll-white', missingNozzles: white },
          ].filter((m) => m.missingNozzles > 0)
          if (note.trim() !== '') noted++
          return nozzleCheck(`c${at}`, {
            checkedMs: NOW - minute * 60_000,
            missing,
            note: note.trim().replaceAll('\uFFFD', ''),
          })
        })
        const { found, bad } = await read(
          [
            ...nozzleChecksCsv(
              given.map((c) => ({ ...c, by: '=me' })),
              settings,
            ),
          ].join(''),
        )
        expect(bad).toEqual([])
        expect(found.map((f) => ({ ...f.entry, id: f.id }))).toEqual(
          given.map((c) => ({ ...said(c), id: c.checkId })),
        )
      }),
    )
    expect(noted).toBeGreaterThan(100)
  })
})
