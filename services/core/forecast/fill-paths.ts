import { FILL_PROFILE_WEEKS, HOURS_IN_WEEK, type FillProfile } from '../model/learned/fill-profile.ts'
import type { OpeningCalendar } from '../model/opening-hours.ts'
import type { Settings } from '../model/settings.ts'
import { hourOfWeek, HOUR_MS, localHours, type LocalHour } from './local-hours.ts'

/** `weeks`: whole weeks are replayed. `days`: less than two are known, so their mean, widened. `none`: nothing is known. */
export const FILL_BASES = ['weeks', 'days', 'none'] as const
export type FillBasis = (typeof FILL_BASES)[number]

/** What the bottle may gain from now on: each path is one week of the past, lived through again. */
export interface FillPaths {
  readonly basis: FillBasis
  /** Weeks that are replayed. */
  readonly weeks: number
  readonly hours: readonly LocalHour[]
  /** For each path the gain in g from now to the end of each of `hours`. */
  readonly gainsG: readonly Float64Array[]
}

/** A week counts when this share of its hours was weighed. */
const LEAST_KNOWN = 0.75
const LEAST_KNOWN_HOURS = 24
/** What a single mean path is multiplied by while there are no weeks to compare. Starting values, no source. */
const THIN_FACTORS = [0.4, 0.6, 0.8, 1, 1.3, 1.6, 2]
/**
 * The range of few weeks is too narrow a forecast of the next. Their distances from the mean are widened so that the
 * range is Student's 80 % prediction interval, x(1 +- t(0.9, n-1) sqrt(1 + 1/n)), for the range that n normal weeks show
 * on average; by number of weeks.
 */
const WIDENED = [1, 1, 5.3, 2.3, 1.65, 1.35, 1.2, 1.1, 1]

/**
 * The past replayed from the same hour of the week, with no chance in it.
 *
 * AHEAD-1 each of the last up to eight weeks is one path; an hour that nobody weighed counts as the same hour of the other
 *         weeks, or as the usual hour of open or closed time.
 * AHEAD-2 an hour that the calendar closes although it is usually open (a holiday) counts as the week's usual closed hour.
 * AHEAD-3 with fewer than two weeks the mean of what there is stands for the coming one, with a wide spread.
 */
export function fillPaths(options: {
  readonly profile: FillProfile | undefined
  readonly fromMs: number
  readonly toMs: number
  readonly calendar: OpeningCalendar
  readonly weekly: Settings['hours']['weekly']
}): FillPaths {
  const { profile, fromMs, toMs, calendar, weekly } = options
  const known = profile?.gainsG.reduce<number>((n, g) => n + (g === null ? 0 : 1), 0) ?? 0
  if (!profile || known < LEAST_KNOWN_HOURS) return { basis: 'none', weeks: 0, hours: [], gainsG: [] }
  const usuallyOpen = openHoursOfWeek(weekly)
  const past = readPast(profile, usuallyOpen)
  const hours = localHours(fromMs, toMs, profile.timeZone)
  const shut = hours.map(
    ({ fromMs: at, hour }) => (usuallyOpen[hourOfWeek(hour)] ?? 0) >= 0.5 && !calendar.isOpenAt(at),
  )
  const weeksBack = weeksKnown(profile, hours[0]?.hour ?? 0)
  const replay = (gainOf: (hour: number, shut: boolean) => number): Float64Array => {
    const gains = new Float64Array(hours.length)
    let sum = 0
    hours.forEach(({ fromMs: a, toMs: b, hour }, i) => {
      sum += (gainOf(hour, shut[i] ?? false) * (b - a)) / HOUR_MS
      gains[i] = sum
    })
    return gains
  }
  if (weeksBack.length < 2) {
    const mean = replay((hour, isShut) => (isShut ? past.closedG : (past.usualG[hourOfWeek(hour)] ?? 0)))
    const gainsG = THIN_FACTORS.map((factor) => mean.map((g) => g * factor))
    return { basis: 'days', weeks: weeksBack.length, hours, gainsG }
  }
  const paths = weeksBack.map((back) =>
    replay((hour, isShut) => (isShut ? past.closedG : past.gainG(hour - back * HOURS_IN_WEEK))),
  )
  return { basis: 'weeks', weeks: paths.length, hours, gainsG: widened(paths) }
}

/** How many weeks back a replay may begin. */
function weeksKnown({ firstHour, gainsG }: FillProfile, nowHour: number): number[] {
  const weeks: number[] = []
  for (let back = 1; back <= FILL_PROFILE_WEEKS + 1; back++) {
    const start = nowHour - back * HOURS_IN_WEEK - firstHour
    if (start < 0 || weeks.length === FILL_PROFILE_WEEKS) break
    const week = gainsG.slice(start, start + HOURS_IN_WEEK)
    const known = week.filter((g) => g !== null).length
    if (week.length > 0 && known >= LEAST_KNOWN * week.length) weeks.push(back)
  }
  return weeks
}

interface Past {
  /** Gain in g in an hour of the past by its number, known or filled in. */
  readonly gainG: (hour: number) => number
  /** Mean of the past, by hour of the week. */
  readonly usualG: readonly number[]
  /** Mean of an hour that is usually closed. */
  readonly closedG: number
}

function readPast({ firstHour, gainsG }: FillProfile, usuallyOpen: readonly number[]): Past {
  const ofHour = Array.from({ length: HOURS_IN_WEEK }, () => ({ sum: 0, count: 0 }))
  const ofClass = { open: { sum: 0, count: 0 }, closed: { sum: 0, count: 0 } }
  gainsG.forEach((g, i) => {
    if (g === null) return
    const at = hourOfWeek(firstHour + i)
    for (const mean of [ofHour[at], (usuallyOpen[at] ?? 0) >= 0.5 ? ofClass.open : ofClass.closed]) {
      if (!mean) continue
      mean.sum += g
      mean.count++
    }
  })
  const all = { sum: ofClass.open.sum + ofClass.closed.sum, count: ofClass.open.count + ofClass.closed.count }
  const meanOf = ({ sum, count }: { sum: number; count: number }): number | null =>
    count === 0 ? null : sum / count
  const classG = (open: boolean): number => meanOf(open ? ofClass.open : ofClass.closed) ?? meanOf(all) ?? 0
  const usualG = ofHour.map((mean, at) => meanOf(mean) ?? classG((usuallyOpen[at] ?? 0) >= 0.5))
  const lastHour = firstHour + gainsG.length - 1
  const gainG = (hour: number): number => {
    let known = hour
    while (known > lastHour) known -= HOURS_IN_WEEK
    return gainsG[known - firstHour] ?? usualG[hourOfWeek(known)] ?? 0
  }
  return { gainG, usualG, closedG: classG(false) }
}

function widened(paths: readonly Float64Array[]): readonly Float64Array[] {
  const factor = WIDENED[paths.length] ?? 1
  if (factor === 1) return paths
  const length = paths[0]?.length ?? 0
  const mean = new Float64Array(length)
  for (const path of paths)
    for (let i = 0; i < length; i++) mean[i] = (mean[i] ?? 0) + (path[i] ?? 0) / paths.length
  return paths.map((path) => path.map((g, i) => (mean[i] ?? 0) + factor * (g - (mean[i] ?? 0))))
}

const byHours = new WeakMap<Settings['hours']['weekly'], readonly number[]>()

/** For each hour of the week the share in which the shop is usually open. */
function openHoursOfWeek(weekly: Settings['hours']['weekly']): readonly number[] {
  const known = byHours.get(weekly)
  if (known) return known
  const shares = new Array<number>(HOURS_IN_WEEK).fill(0)
  for (const { weekday, opens, closes } of weekly) {
    const [from, to] = [hoursOfClock(opens), hoursOfClock(closes)]
    for (let h = Math.floor(from); h < to; h++) {
      const at = (weekday - 1) * 24 + h
      shares[at] = (shares[at] ?? 0) + Math.min(to, h + 1) - Math.max(from, h)
    }
  }
  byHours.set(weekly, shares)
  return shares
}

function hoursOfClock(time: string): number {
  return Number(time.slice(0, 2)) + Number(time.slice(3)) / 60
}
