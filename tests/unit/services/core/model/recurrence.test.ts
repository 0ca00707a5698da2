import { describe, expect, it } from 'vitest'
import { createOccurrences, problemOfRule } from '../../../../../services/core/model/recurrence.ts'

/** Occurrences from a moment on, at most `limit`, as UTC texts. */
function occurrences(
  recurrence: { rule: string; time: string; startsOn: string },
  { timeZone, fromMs, limit }: { timeZone: string; fromMs: number; limit: number },
): string[] {
  const next = createOccurrences(recurrence, timeZone)
  const found: string[] = []
  for (let at = next(fromMs); at !== null && found.length < limit; at = next(at))
    found.push(new Date(at).toISOString())
  return found
}
const NEW_YORK = { timeZone: 'America/New_York', fromMs: Date.UTC(1997, 7, 1), limit: 1000 }
const BRUSSELS = { timeZone: 'Europe/Brussels', limit: 4 }

/** Examples of RFC 5545, section 3.8.5.3, all of them 09:00 in New York from 2 September 1997 on. */
describe('recurrence rules, held against the examples of RFC 5545, section 3.8.5.3', () => {
  const examples: readonly [rule: string, startsOn: string, days: readonly string[]][] = [
    [
      'FREQ=DAILY;COUNT=10',
      '1997-09-02',
      ['09-02', '09-03', '09-04', '09-05', '09-06', '09-07', '09-08', '09-09', '09-10', '09-11'],
    ],
    ['FREQ=DAILY;INTERVAL=10;COUNT=5', '1997-09-02', ['09-02', '09-12', '09-22', '10-02', '10-12']],
    [
      'FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH',
      '1997-09-02',
      ['09-02', '09-04', '09-16', '09-18', '09-30', '10-02', '10-14', '10-16'],
    ],
    [
      'FREQ=MONTHLY;COUNT=10;BYDAY=1FR',
      '1997-09-05',
      ['09-05', '10-03', '11-07', '12-05', '01-02', '02-06', '03-06', '04-03', '05-01', '06-05'],
    ],
    ['FREQ=MONTHLY;COUNT=6;BYDAY=-2MO', '1997-09-22', ['09-22', '10-20', '11-17', '12-22', '01-19', '02-16']],
    ['FREQ=MONTHLY;COUNT=3;BYDAY=TU,WE,TH;BYSETPOS=3', '1997-09-04', ['09-04', '10-07', '11-06']],
  ]
  it.each(examples)('RECUR-1 %s', (rule, startsOn, days) => {
    const found = occurrences({ rule, time: '09:00', startsOn }, NEW_YORK)
    expect(found.map((iso) => iso.slice(5, 10))).toEqual(days)
    // 09:00 on that clock: 13:00 UTC until the clocks went back on 26 October 1997, 14:00 after it, to 5 April 1998.
    for (const iso of found) {
      const summer = iso < '1997-10-26' || iso > '1998-04-05'
      expect(iso.slice(11, 16)).toBe(summer ? '13:00' : '14:00')
    }
  })

  it('RECUR-3 FREQ=DAILY;UNTIL=19971224T000000Z: 2 September to 23 December, 113 in all', () => {
    const rule = 'FREQ=DAILY;UNTIL=19971224T000000Z'
    const found = occurrences({ rule, time: '09:00', startsOn: '1997-09-02' }, NEW_YORK)
    expect([found.length, found[0], found.at(-1)]).toEqual([
      113,
      '1997-09-02T13:00:00.000Z',
      '1997-12-23T14:00:00.000Z',
    ])
    const asDate = { rule: 'FREQ=DAILY;UNTIL=19971223', time: '09:00', startsOn: '1997-09-02' }
    expect(occurrences(asDate, NEW_YORK)).toEqual(found)
  })
})

describe('recurrence over nights on which the clock changes', () => {
  it('RECUR-2 a time that is skipped in March means the instant after the gap, and the days after keep their time', () => {
    const daily = { rule: 'FREQ=DAILY', time: '02:30', startsOn: '2026-01-05' }
    expect(occurrences(daily, { ...BRUSSELS, fromMs: Date.UTC(2026, 2, 28) })).toEqual([
      '2026-03-28T01:30:00.000Z',
      '2026-03-29T01:30:00.000Z', // 03:30 there: 02:30 does not exist
      '2026-03-30T00:30:00.000Z',
      '2026-03-31T00:30:00.000Z',
    ])
  })
  it('RECUR-2 a time that comes twice in October comes once', () => {
    const daily = { rule: 'FREQ=DAILY', time: '02:30', startsOn: '2026-01-05' }
    expect(occurrences(daily, { ...BRUSSELS, fromMs: Date.UTC(2026, 9, 24) })).toEqual([
      '2026-10-24T00:30:00.000Z',
      '2026-10-25T00:30:00.000Z',
      '2026-10-26T01:30:00.000Z',
      '2026-10-27T01:30:00.000Z',
    ])
  })
  it('RECUR-1 Monday 09:00 stays Monday 09:00', () => {
    const weekly = { rule: 'FREQ=WEEKLY;BYDAY=MO', time: '09:00', startsOn: '2026-01-05' }
    expect(occurrences(weekly, { ...BRUSSELS, fromMs: Date.UTC(2026, 9, 12), limit: 3 })).toEqual([
      '2026-10-12T07:00:00.000Z',
      '2026-10-19T07:00:00.000Z',
      '2026-10-26T08:00:00.000Z',
    ])
  })
  it('RECUR-1 a rule that comes less than once a year is found all the same', () => {
    const leap = { rule: 'FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29', time: '09:00', startsOn: '2026-01-05' }
    expect(occurrences(leap, { ...BRUSSELS, fromMs: Date.UTC(2026, 5, 1), limit: 2 })).toEqual([
      '2028-02-29T08:00:00.000Z',
      '2032-02-29T08:00:00.000Z',
    ])
  })
})

describe('what is wrong with a rule', () => {
  it.each([
    ['', /cannot stand in this rule/],
    ['FREQ=HOURLY', /not understood/],
    ['FREQ=DAILY;BYHOUR=9', /BYHOUR cannot stand/],
    ['BYDAY=MO', /FREQ is missing/],
    ['FREQ=WEEKLY;BYDAY=XX', /BYDAY=XX is not understood/],
    ['FREQ=WEEKLY;INTERVAL=0', /INTERVAL=0/],
    ['FREQ=DAILY;FREQ=WEEKLY', /stands twice/],
    ['FREQ=DAILY;COUNT=2;UNTIL=20270101', /exclude each other/],
    ['FREQ=DAILY;UNTIL=20271399', /no day fits/],
    ['FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30', /no day fits/],
  ])('%s is refused with a cure', (rule, problem) => {
    expect(problemOfRule(rule)).toMatch(problem)
  })
  it.each([
    'FREQ=WEEKLY;BYDAY=MO',
    'freq=monthly;byday=1mo',
    'FREQ=WEEKLY;COUNT=1',
    'FREQ=DAILY;UNTIL=20200101',
  ])('%s is taken', (rule) => expect(problemOfRule(rule)).toBeNull())
})
