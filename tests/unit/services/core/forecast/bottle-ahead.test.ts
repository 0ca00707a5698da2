import { describe, expect, it } from 'vitest'
import {
  bottleAhead,
  probabilityFullBefore,
  type BottleAhead,
} from '../../../../../services/core/forecast/bottle-ahead.ts'
import { hourOfWeek, localHours } from '../../../../../services/core/forecast/local-hours.ts'
import type { FillProfile } from '../../../../../services/core/model/learned/fill-profile.ts'
import { openingCalendar } from '../../../../../services/core/model/opening-hours.ts'
import { bottleSettings } from '../../../../parts/bottle-run.ts'
import { DAY, HOUR, MINUTE, MONDAY_MS } from '../../../../parts/bottle-signal.ts'

const WEEK = 7 * DAY
const ZONE = 'Europe/Brussels'
/** Hours of local time since 1970 at the beginning of our Monday, midnight in Brussels. */
const MONDAY_HOUR = Date.UTC(2026, 2, 2) / HOUR

/** Weeks before our Monday: `gainG` says what an hour of the week gained, 0 being the oldest week. */
function profileOf(weeks: number, gainG: (hour: number, week: number) => number | null): FillProfile {
  const gainsG = Array.from({ length: weeks * 168 }, (_, i) => gainG(i % 168, Math.floor(i / 168)))
  return {
    kind: 'fillProfile',
    subjectId: 'roll-waste',
    fromMs: MONDAY_MS - weeks * WEEK,
    toMs: MONDAY_MS,
    version: 'test',
    timeZone: ZONE,
    firstHour: MONDAY_HOUR - weeks * 168,
    gainsG,
    evaporationGPerDay: 4,
    noiseG: 0.2,
  }
}

/** Monday to Friday 08:00 to 18:00. */
const isOpenHour = (hour: number): boolean => hour < 120 && hour % 24 >= 8 && hour % 24 < 18

interface Asked {
  readonly atMs?: number
  readonly heldG?: number
  readonly holidays?: readonly string[]
  readonly horizonMs?: number
}

function ahead(profile: FillProfile | undefined, asked: Asked = {}): BottleAhead {
  const { atMs = MONDAY_MS, heldG = 1000, holidays = [], horizonMs } = asked
  const weekly = [1, 2, 3, 4, 5].map((weekday) => ({ weekday, opens: '08:00', closes: '18:00' }))
  const settings = bottleSettings(MINUTE, { hours: { weekly, holidays } })
  const [bottle] = settings.bottles
  if (!bottle) throw new RangeError('the shop has a bottle')
  return bottleAhead({
    atMs,
    bottle,
    massKg: 0.2 + heldG / 1000,
    limitPct: 95,
    profile,
    calendar: openingCalendar(settings),
    weekly: settings.hours.weekly,
    ...(horizonMs === undefined ? {} : { horizonMs }),
  })
}

const inHours = (atMs: number | null): number | null => (atMs === null ? null : (atMs - MONDAY_MS) / HOUR)

describe('bottle ahead', () => {
  it('AHEAD-1 eight equal weeks of 10 g an hour fill 900 g in 90 hours, without any doubt', () => {
    const { reaches, basis, weeks } = ahead(profileOf(8, () => 10))
    expect([reaches.earliestMs, reaches.likelyMs, reaches.latestMs].map(inHours)).toEqual([90, 90, 90])
    expect({ basis, weeks }).toEqual({ basis: 'weeks', weeks: 8 })
  })
  it('AHEAD-1 each week is one path, replayed from the same hour of the week', () => {
    const made = ahead(
      profileOf(8, (hour, week) => (isOpenHour(hour) ? 20 + week : 1)),
      { heldG: 1500 },
    )
    // 8 closed hours give 8 g; then 392 g at 20 to 27 g an open hour: within Monday and Tuesday.
    expect(new Set(made.crossingsMs).size).toBe(8)
    const slowest = 24 + 8 + (400 - (8 + 200 + 6 + 8)) / 20
    expect(Math.max(...made.crossingsMs.map((at) => inHours(at) ?? Infinity))).toBeCloseTo(slowest, 5)
  })
  it('AHEAD-1 begins in the middle of an hour with the rest of it', () => {
    const made = ahead(
      profileOf(8, (hour) => (hour === 0 ? 100 : 0)),
      { atMs: MONDAY_MS + 45 * MINUTE, heldG: 1890 },
    )
    expect(inHours(made.reaches.likelyMs)).toBeCloseTo(0.75 + 0.1, 6)
  })
  it('AHEAD-1 an hour that nobody weighed counts as the same hour of the other weeks', () => {
    const holed = profileOf(8, (hour, week) => (week === 3 && hour >= 10 && hour < 40 ? null : 10))
    expect(inHours(ahead(holed).reaches.latestMs)).toBeCloseTo(90, 6)
  })
  it('AHEAD-1 a week of which most is not known is left out', () => {
    const holed = profileOf(8, (hour, week) => (week === 3 && hour >= 20 ? null : 10))
    expect(ahead(holed).weeks).toBe(7)
  })
  it('AHEAD-1 a profile learned last night is replayed by the hour of the week today', () => {
    const wednesdays = profileOf(8, (hour) => (Math.floor(hour / 24) === 2 ? 50 : 0))
    // On Tuesday evening the past ends with Sunday night; Wednesday is still Wednesday.
    const made = ahead(wednesdays, { atMs: MONDAY_MS + 42 * HOUR, heldG: 1850 })
    expect(made.weeks).toBeGreaterThanOrEqual(7)
    expect(inHours(made.reaches.likelyMs)).toBeCloseTo(49, 6)
    // 1200 g in one Wednesday, 700 g in 14 hours of the next: also on the path that has run out of past by then.
    const { reaches } = ahead(wednesdays, { atMs: MONDAY_MS + 42 * HOUR, heldG: 0 })
    expect([reaches.earliestMs, reaches.latestMs].map((at) => Math.round(inHours(at) ?? 0))).toEqual([
      230, 230,
    ])
  })
  it('AHEAD-1 few weeks are spread more widely than they lie', () => {
    const spreadOf = (weeks: number): number => {
      const made = ahead(profileOf(weeks, (_, week) => 10 + (week % 2 === 0 ? 1 : -1)))
      return (inHours(made.reaches.latestMs) ?? 0) - (inHours(made.reaches.earliestMs) ?? 0)
    }
    expect(spreadOf(8)).toBeCloseTo(900 / 9 - 900 / 11, 4)
    expect(spreadOf(4)).toBeGreaterThan(spreadOf(8) * 1.5)
    expect(spreadOf(2)).toBeGreaterThan(spreadOf(4) * 2)
  })
  it('AHEAD-2 a holiday fills like a closed day', () => {
    const profile = profileOf(8, (hour) => (isOpenHour(hour) ? 50 : 1))
    // Without it: 8 g until 08:00 on Monday, then 50 g an hour.
    expect(inHours(ahead(profile, { heldG: 1800 }).reaches.likelyMs)).toBeCloseTo(8 + 92 / 50, 6)
    const holiday = ahead(profile, { heldG: 1800, holidays: ['2026-03-02'] })
    expect(inHours(holiday.reaches.likelyMs)).toBeCloseTo(24 + 8 + (100 - 32) / 50, 6)
  })
  it('AHEAD-3 with less than two weeks the mean of what there is stands for the coming one, widely spread', () => {
    const { basis, weeks, reaches } = ahead(profileOf(1, () => 10))
    expect({ basis, weeks }).toEqual({ basis: 'days', weeks: 1 })
    expect(inHours(reaches.likelyMs)).toBeCloseTo(90, 6)
    expect(inHours(reaches.earliestMs)).toBeLessThan(60)
    expect(inHours(reaches.latestMs)).toBeGreaterThan(150)
  })
  it('AHEAD-3 three days are enough to say something of Sunday', () => {
    const days = { ...profileOf(1, (hour) => (isOpenHour(hour) ? 30 : 2)), firstHour: MONDAY_HOUR - 168 }
    const three = { ...days, gainsG: days.gainsG.slice(0, 72) }
    const made = ahead(three, { atMs: MONDAY_MS + 6 * DAY, heldG: 1880 })
    expect(made.basis).toBe('days')
    expect(inHours(made.reaches.likelyMs)).toBeCloseTo(6 * 24 + 10, 6)
  })
  it('AHEAD-4 a bottle that is over its limit reached it now', () => {
    const made = ahead(
      profileOf(8, () => 1),
      { heldG: 1950 },
    )
    expect(made.reaches).toEqual({ earliestMs: MONDAY_MS, likelyMs: MONDAY_MS, latestMs: MONDAY_MS })
    expect(probabilityFullBefore(made, MONDAY_MS + HOUR)).toBe(1)
  })
  it('AHEAD-4 with no history nothing is said', () => {
    for (const profile of [undefined, profileOf(1, (hour) => (hour < 20 ? 5 : null))]) {
      const made = ahead(profile)
      expect(made).toMatchObject({ basis: 'none', weeks: 0, crossingsMs: [], fillPct: [] })
      expect(made.reaches.likelyMs).toBeNull()
      expect(probabilityFullBefore(made, MONDAY_MS + DAY)).toBeNull()
    }
  })
  it('AHEAD-5 what lies beyond the horizon has no time; what only slow weeks do not reach has a latest one of null', () => {
    const made = ahead(profileOf(8, (_, week) => (week < 4 ? 0 : 10)))
    expect(inHours(made.reaches.earliestMs)).toBeCloseTo(90, 6)
    expect(made.reaches.latestMs).toBeNull()
    expect(probabilityFullBefore(made, MONDAY_MS + WEEK)).toBe(0.5)
  })
  it('the band begins with what is in the bottle, follows the hours, and is ordered', () => {
    const { fillPct } = ahead(
      profileOf(8, (_, week) => 8 + week),
      { horizonMs: DAY, atMs: MONDAY_MS + 30 * MINUTE },
    )
    expect(fillPct[0]).toEqual([MONDAY_MS + 30 * MINUTE, 50, 50, 50])
    expect(fillPct).toHaveLength(26)
    expect(fillPct[1]?.[0]).toBe(MONDAY_MS + HOUR)
    expect(fillPct.at(-1)?.[0]).toBe(MONDAY_MS + DAY + 30 * MINUTE)
    expect(fillPct.at(-1)?.[2]).toBeCloseTo(50 + (24 * 11.5) / 20, 6)
    expect(fillPct.every(([, low, mid, high]) => low <= mid && mid <= high)).toBe(true)
  })
  it('the same past gives the same forecast to the last digit, also after a snapshot', () => {
    const profile = profileOf(5, (hour, week) => ((hour * 7 + week * 13) % 11) + 1)
    const thawed = JSON.parse(JSON.stringify(profile)) as FillProfile
    expect(ahead(thawed)).toEqual(ahead(profile))
  })
})

describe('local hours', () => {
  it('count the hours of the week from Monday midnight, by the shop clock', () => {
    const [first] = localHours(MONDAY_MS, MONDAY_MS + HOUR, ZONE)
    expect(first).toEqual({ fromMs: MONDAY_MS, toMs: MONDAY_MS + HOUR, hour: MONDAY_HOUR })
    expect(hourOfWeek(MONDAY_HOUR)).toBe(0)
    expect(hourOfWeek(MONDAY_HOUR - 1)).toBe(167)
  })
  it('have a number missing in spring and one twice in autumn', () => {
    const numbers = (fromMs: number): number[] =>
      localHours(fromMs, fromMs + 4 * HOUR, ZONE).map((h) => h.hour)
    const steps = (hours: number[]): number[] => hours.slice(1).map((h, i) => h - (hours[i] ?? 0))
    expect(steps(numbers(Date.UTC(2026, 2, 28, 23)))).toEqual([1, 2, 1])
    expect(steps(numbers(Date.UTC(2026, 9, 24, 23)))).toEqual([1, 0, 1])
  })
  it('are cut where a zone stands half an hour off', () => {
    const hours = localHours(Date.UTC(2026, 0, 1), Date.UTC(2026, 0, 1, 2), 'Asia/Kolkata')
    expect(hours.map((h) => (h.toMs - h.fromMs) / MINUTE)).toEqual([30, 60, 30])
  })
})
