import { HOUR_MS, localHours } from '../forecast/local-hours.ts'
import { FILL_PROFILE_WEEKS, HOURS_IN_WEEK, type FillProfile } from '../model/learned/fill-profile.ts'
import type { Bottle } from '../model/settings.ts'
import { heaviestKg, ruleOfBottle, type BottleRule } from '../track/bottle-of.ts'
import { robustSigma } from '../statistics/robust.ts'
import { middleOf } from './middle.ts'

/** Names the method; a change of it makes another version. */
export const FILL_PROFILE_VERSION = 'fill-profile-1'

/** A level further from an hour's end than this does not tell it. */
const NEAR_MS = 30 * 60_000
/** A fall by more in one hour is a hand at the bottle, not evaporation. Starting value. */
const HAND_G = 20
/** No machine gives a fifth of its bottle in an hour: that was poured in, or a thing lies on the scale. Starting value. */
const MOST_GAIN_SHARE = 0.2
const LEAST_HOURS = 24
/** Evaporation is read from hours that gained less than a purge, and lost no more than a tube that pulls. */
const QUIET_WITHIN_G = 1
const LEAST_QUIET_HOURS = 12
const MOST_EVAPORATED_G_PER_DAY = 60

/** What a scale read over a stretch of an hour or less. */
export interface WeighedSpan {
  readonly fromMs: number
  readonly toMs: number
  readonly meanKg: number
  readonly lastKg: number
}

export interface BottlePast {
  readonly bottle: Bottle
  readonly timeZone: string
  /** In order of time, each an hour or less; gaps are simply not there. Those that end after `toMs` are not looked at. */
  readonly weighed: readonly WeighedSpan[]
  /** When it is learned. */
  readonly toMs: number
}

/**
 * How a waste bottle filled in each hour of its last eight weeks.
 *
 * PROFILE-1 an hour's gain is the level at its end less that at its beginning; a level is the median of three neighbouring
 *           last readings, so that a bump on one of them counts for nothing.
 * PROFILE-2 an hour in which the bottle was off the scale, or that fell by more than 20 g, tells no gain: null.
 *           So does one that gained more than a fifth of the bottle, which no machine gives, and a level that no bottle
 *           can weigh.
 * PROFILE-3 evaporation is the usual fall of the hours in which nothing flowed; 0 with fewer than 12 of them.
 * PROFILE-4 with less than a day of known hours nothing is learned.
 */
export function learnFillProfile({ bottle, timeZone, weighed, toMs }: BottlePast): FillProfile | null {
  const spans = weighed.filter((s) => s.toMs <= toMs)
  const first = spans[0]
  const last = spans[spans.length - 1]
  if (!first || !last) return null
  const fromMs = Math.max(first.toMs, last.toMs - FILL_PROFILE_WEEKS * HOURS_IN_WEEK * HOUR_MS)
  const rule = ruleOfBottle(bottle)
  const levelAt = createLevels(spans, rule)
  const gains = new Map<number, number | null>()
  for (const { fromMs: a, toMs: b, hour } of localHours(fromMs, last.toMs, timeZone)) {
    if (b - a < HOUR_MS) continue
    const gain = gainG(levelAt(a), levelAt(b), bottle)
    const sofar = gains.has(hour) ? gains.get(hour) : 0
    gains.set(hour, gain === null || sofar === null || sofar === undefined ? null : sofar + gain)
  }
  for (const { toMs: b, hour } of liftedHours(spans, rule, { fromMs, timeZone })) {
    if (b > fromMs && gains.has(hour)) gains.set(hour, null)
  }
  const known = [...gains.values()].filter((g) => g !== null)
  if (known.length < LEAST_HOURS) return null
  const stamp = { subjectId: bottle.id, fromMs, toMs, version: FILL_PROFILE_VERSION }
  return { kind: 'fillProfile', ...stamp, timeZone, ...inOrder(gains), ...atRest(known) }
}

function gainG(
  beforeKg: number | null,
  afterKg: number | null,
  { capacityMl, densityKgPerL }: Bottle,
): number | null {
  if (beforeKg === null || afterKg === null) return null
  const gain = (afterKg - beforeKg) * 1000
  return gain < -HAND_G || gain > MOST_GAIN_SHARE * capacityMl * densityKgPerL ? null : gain
}

/** Asked in order of time: the level at an instant in kg, or null where nobody weighed or no bottle stood. */
function createLevels(spans: readonly WeighedSpan[], { bottle, liftedBelowKg }: BottleRule) {
  const mostKg = heaviestKg(bottle)
  let at = 0
  return (atMs: number): number | null => {
    while (at + 1 < spans.length && distance(spans[at + 1], atMs) <= distance(spans[at], atMs)) at++
    const span = spans[at]
    if (!span || distance(span, atMs) > NEAR_MS) return null
    const near = [spans[at - 1], span, spans[at + 1]]
      .filter((s) => s !== undefined && distance(s, span.toMs) <= HOUR_MS)
      .map((s) => s?.lastKg ?? NaN)
    const kg = near.length === 3 ? middleOf(near) : span.lastKg
    return kg < liftedBelowKg || kg > mostKg ? null : kg
  }
}

function distance(span: WeighedSpan | undefined, atMs: number): number {
  return span ? Math.abs(span.toMs - atMs) : Infinity
}

function liftedHours(
  spans: readonly WeighedSpan[],
  { liftedBelowKg }: BottleRule,
  { fromMs, timeZone }: { fromMs: number; timeZone: string },
) {
  return spans
    .filter((s) => s.toMs > fromMs && Math.min(s.lastKg, s.meanKg) < liftedBelowKg)
    .flatMap((s) => localHours(s.fromMs, s.toMs, timeZone))
}

/** One gain for each local hour from the first to the last; a skipped hour gained nothing. */
function inOrder(gains: ReadonlyMap<number, number | null>): Pick<FillProfile, 'firstHour' | 'gainsG'> {
  const hours = [...gains.keys()]
  const firstHour = hours[0] ?? 0
  const length = (hours[hours.length - 1] ?? firstHour) - firstHour + 1
  const gainsG = Array.from({ length }, (_, i) => {
    const gain = gains.get(firstHour + i)
    // A tenth of a gram is what amplifiers tell apart.
    return gain === undefined ? 0 : gain === null ? null : Math.round(gain * 10) / 10
  })
  const most = FILL_PROFILE_WEEKS * HOURS_IN_WEEK
  return length > most
    ? { firstHour: firstHour + length - most, gainsG: gainsG.slice(-most) }
    : { firstHour, gainsG }
}

function atRest(gainsG: readonly number[]): Pick<FillProfile, 'evaporationGPerDay' | 'noiseG'> {
  const still = gainsG.filter((g) => Math.abs(g) < QUIET_WITHIN_G)
  if (still.length < LEAST_QUIET_HOURS) return { evaporationGPerDay: 0, noiseG: 0 }
  const usual = middleOf(still)
  const near = still.filter((g) => Math.abs(g - usual) <= QUIET_WITHIN_G / 2)
  const mean = near.reduce((sum, g) => sum + g, 0) / near.length
  const noiseG = robustSigma(still)
  return { evaporationGPerDay: Math.min(MOST_EVAPORATED_G_PER_DAY, Math.max(0, -24 * mean)), noiseG }
}
