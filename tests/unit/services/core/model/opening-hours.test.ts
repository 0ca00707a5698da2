import { describe, expect, it } from 'vitest'
import { openingCalendar } from '../../../../../services/core/model/opening-hours.ts'
import { hoursSchema } from '../../../../../services/core/model/settings.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

const at = (iso: string): number => Date.parse(iso)
const brussels = (hours: unknown) =>
  openingCalendar({ site: testSettings().site, hours: hoursSchema.parse(hours) })
const everyDay = (opens: string, closes: string) => ({
  weekly: [1, 2, 3, 4, 5, 6, 7].map((weekday) => ({ weekday, opens, closes })),
})

describe('opening calendar', () => {
  it('opens and closes at the minute, in the zone of the shop', () => {
    const calendar = openingCalendar(testSettings())
    // Wednesday 25 November 2026, Brussels is UTC+1.
    expect(calendar.isOpenAt(at('2026-11-25T07:29:59Z'))).toBe(false)
    expect(calendar.isOpenAt(at('2026-11-25T07:30:00Z'))).toBe(true)
    expect(calendar.isOpenAt(at('2026-11-25T16:59:59Z'))).toBe(true)
    expect(calendar.isOpenAt(at('2026-11-25T17:00:00Z'))).toBe(false)
  })
  it('knows the next change and the next opening across a weekend', () => {
    const calendar = openingCalendar(testSettings())
    const fridayNight = at('2026-11-27T20:00:00Z')
    expect(calendar.nextChangeAfter(fridayNight)).toBe(at('2026-11-30T07:30:00Z'))
    expect(calendar.nextOpeningAfter(at('2026-11-27T10:00:00Z'))).toBe(at('2026-11-30T07:30:00Z'))
    expect(calendar.closedFrom(at('2026-11-27T16:00:00Z'))).toBe(at('2026-11-27T17:00:00Z'))
    expect(calendar.closedFrom(fridayNight)).toBe(fridayNight)
  })
  it('stays closed on a holiday', () => {
    const calendar = brussels({ ...everyDay('08:00', '18:00'), holidays: ['2026-12-25'] })
    expect(calendar.isOpenAt(at('2026-12-25T10:00:00Z'))).toBe(false)
    expect(calendar.isOpenAt(at('2026-12-26T10:00:00Z'))).toBe(true)
  })
  // The European Union's changes of 2026: 29 March and 25 October at 01:00 UTC (Directive 2000/84/EC; dates computed).
  it('a night with the clock change forward is an hour shorter', () => {
    const calendar = brussels(everyDay('08:00', '18:00'))
    const [night] = calendar.closedSpans({
      fromMs: at('2026-03-28T17:00:00Z'),
      toMs: at('2026-03-29T12:00:00Z'),
    })
    expect(night).toEqual({ fromMs: at('2026-03-28T17:00:00Z'), toMs: at('2026-03-29T06:00:00Z') })
  })
  it('a night with the clock change back is an hour longer', () => {
    const calendar = brussels(everyDay('08:00', '18:00'))
    const [night] = calendar.closedSpans({
      fromMs: at('2026-10-24T16:00:00Z'),
      toMs: at('2026-10-25T12:00:00Z'),
    })
    expect(night).toEqual({ fromMs: at('2026-10-24T16:00:00Z'), toMs: at('2026-10-25T07:00:00Z') })
  })
  it('an opening time that the clock skips means the instant after the gap', () => {
    const calendar = brussels(everyDay('02:30', '05:00'))
    expect(calendar.isOpenAt(at('2026-03-29T01:29:00Z'))).toBe(false)
    expect(calendar.isOpenAt(at('2026-03-29T01:30:00Z'))).toBe(true)
  })
  it('a shop without hours is closed for good', () => {
    const calendar = brussels({ weekly: [] })
    expect(calendar.isOpenAt(at('2026-11-25T10:00:00Z'))).toBe(false)
    expect(calendar.nextChangeAfter(at('2026-11-25T10:00:00Z'))).toBeNull()
    expect(calendar.nextOpeningAfter(at('2026-11-25T10:00:00Z'))).toBeNull()
  })
  it('agrees with a plain reading of the hours at every quarter of a year, in whatever order it is asked', () => {
    const calendar = openingCalendar(testSettings())
    const zone = new Intl.DateTimeFormat('en-GB', {
      timeZone: 'Europe/Brussels',
      weekday: 'short',
      hour: '2-digit',
      minute: '2-digit',
      hourCycle: 'h23',
    })
    const plain = (ms: number): boolean => {
      const parts = Object.fromEntries(zone.formatToParts(ms).map((p) => [p.type, p.value]))
      const time = `${parts['hour']}:${parts['minute']}`
      return !['Sat', 'Sun'].includes(parts['weekday'] ?? '') && time >= '08:30' && time < '18:00'
    }
    const start = at('2026-01-01T00:00:00Z')
    const quarters = Array.from({ length: 365 * 96 }, (_, i) => start + ((i * 7919) % (365 * 96)) * 900_000)
    expect(quarters.filter((ms) => calendar.isOpenAt(ms) !== plain(ms))).toEqual([])
  })
})
