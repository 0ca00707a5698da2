import {
  maxStatisticTest,
  permutationTest,
  type Exchangeable,
  type MaxStatisticResult,
  type PermutationResult,
  type Resampling,
} from '../statistics/permutation.ts'
import { midRanks } from '../statistics/rank-correlation.ts'
import { NIGHTS_AFTER_CLOG } from './case-crossover.ts'
import { isBeyond, type Exposure } from './exposure.ts'
import type { Series } from './nights.ts'

const WEEK_DAYS = 7

/** What a night counts for in a test: its place among the others, or whether it lies beyond a limit. */
export type Score = { readonly kind: 'rank' } | { readonly kind: 'beyond'; readonly limit: number }

export interface WeekTest extends PermutationResult {
  /** Above 0: more of the exposure, more clogs. */
  readonly excess: number
}

/**
 * Tests an exposure by exchanging whole weeks. All channel groups move together, since they share the air and the
 * people.
 *
 * WEEK-1 The outcomes of a week, checked or not, are put upon the exposures of another; what hangs together within a
 *        week stays together, and each series keeps its own order of weather.
 * WEEK-2 Each channel group is compared within itself: what counts is by how much its clogged nights' scores lie above
 *        those of its checked nights.
 * WEEK-3 Weeks are exchanged among those in which the same channel groups were in use and something was checked; the
 *        others stay where they are.
 * WEEK-4 Nights acted upon have no outcome here.
 * WEEK-5 A night of which the exposure is not known has the score of the last night that is known.
 * WEEK-6 The week after a clog is left out: a clog that comes back is no second witness, and would tie one week to the
 *        next.
 *
 * @returns null where there is no clog to count.
 */
export function weekTest(
  all: readonly Series[],
  { exposure, score }: { readonly exposure: Exposure; readonly score: Score },
  resampling: Resampling,
): WeekTest | null {
  const plan = weekPlan(all, exposure)
  if (plan === null) return null
  const matrix = crossed(plan, scoresOf(plan, exposure, score))
  const excess = matrix.at(asItStands(plan.weeks))
  return { ...permutationTest(plan.exchangeable, matrix.at, resampling), excess }
}

export interface WeekTests extends MaxStatisticResult {
  readonly excesses: readonly number[]
}

/** As `weekTest` for several limits of one exposure of which the best is to be chosen: p pays for the choice. */
export function bestLimitTest(
  all: readonly Series[],
  { exposure, limits }: { readonly exposure: Exposure; readonly limits: readonly number[] },
  resampling: Resampling,
): WeekTests | null {
  const plan = weekPlan(all, exposure)
  if (plan === null || limits.length === 0) return null
  const matrices = limits.map((limit) => crossed(plan, scoresOf(plan, exposure, { kind: 'beyond', limit })))
  const result = maxStatisticTest(
    plan.exchangeable,
    (order, into) => matrices.forEach((m, i) => (into[i] = m.at(order))),
    { ...resampling, statistics: limits.length },
  )
  return { ...result, excesses: matrices.map((m) => m.at(asItStands(plan.weeks))) }
}

/** One channel group laid out over all days of the study. */
interface Lane {
  /** NaN before its first night. */
  readonly values: Float64Array
  /** What an outcome adds: 1 less the share of clogs for a clog, less that share for a clear night, 0 unchecked. */
  readonly weights: Float64Array
}

interface WeekPlan {
  readonly lanes: readonly Lane[]
  readonly weeks: number
  readonly exchangeable: Exchangeable
}

function weekPlan(all: readonly Series[], exposure: Exposure): WeekPlan | null {
  const used = all.filter((s) => s.exposures[exposure].some((v) => !Number.isNaN(v)))
  const firstDay = Math.min(...used.map((s) => s.days[0] ?? Infinity))
  const lastDay = Math.max(...used.map((s) => s.days.at(-1) ?? -Infinity))
  if (!Number.isFinite(firstDay)) return null
  const weeks = Math.ceil((lastDay - firstDay + 1) / WEEK_DAYS)
  const lanes = used.flatMap((s) => laneOf(s, exposure, { firstDay, days: weeks * WEEK_DAYS }) ?? [])
  if (lanes.length === 0) return null
  return { lanes, weeks, exchangeable: exchangeableWeeks(lanes, weeks) }
}

/** @returns null where no clog counts: such a channel group says nothing. */
function laneOf(
  series: Series,
  exposure: Exposure,
  { firstDay, days }: { readonly firstDay: number; readonly days: number },
): Lane | null {
  const values = new Float64Array(days).fill(NaN)
  const weights = new Float64Array(days)
  const own = series.exposures[exposure]
  const isLate = afterClog(series)
  const counts = (i: number): boolean =>
    (series.outcomes[i] ?? -1) >= 0 &&
    series.actedUpon[i] !== 1 &&
    isLate[i] !== 1 &&
    !Number.isNaN(own[i] ?? NaN)
  let [clogs, checked] = [0, 0]
  for (let i = 0; i < own.length; i++) {
    if (!counts(i)) continue
    checked++
    if (series.outcomes[i] === 1) clogs++
  }
  if (clogs === 0) return null
  for (let i = 0; i < own.length; i++) {
    const at = (series.days[i] ?? 0) - firstDay
    values[at] = own[i] ?? NaN
    if (counts(i)) weights[at] = (series.outcomes[i] ?? 0) - clogs / checked
  }
  const last = (series.days.at(-1) ?? firstDay) - firstDay
  // Carried on to the end of its last week, and over nights that are not known.
  const end = Math.min(days, Math.ceil((last + 1) / WEEK_DAYS) * WEEK_DAYS)
  for (let at = 1; at < end; at++) if (Number.isNaN(values[at] ?? NaN)) values[at] = values[at - 1] ?? NaN
  return { values, weights }
}

/** 1 for each night of the week after a clog. */
function afterClog({ days, outcomes }: Series): Uint8Array {
  let lastClogDay = -Infinity
  return Uint8Array.from(days, (day, i) => {
    const isLate = day - lastClogDay <= NIGHTS_AFTER_CLOG
    if (outcomes[i] === 1) lastClogDay = day
    return isLate ? 1 : 0
  })
}

function exchangeableWeeks(lanes: readonly Lane[], weeks: number): number[][] {
  const groups = new Map<string, number[]>()
  for (let week = 0; week < weeks; week++) {
    const from = week * WEEK_DAYS
    const to = from + WEEK_DAYS
    const isChecked = lanes.some((l) => l.weights.subarray(from, to).some((w) => w !== 0))
    const inUse = lanes.map((l) => (Number.isNaN(l.values[to - 1] ?? NaN) ? 0 : 1)).join('')
    const key = isChecked ? inUse : `alone ${week}`
    const group = groups.get(key)
    if (group === undefined) groups.set(key, [week])
    else group.push(week)
  }
  return [...groups.values()]
}

/** Scores of all nights of each lane; 0 where it was not in use. */
function scoresOf(plan: WeekPlan, exposure: Exposure, score: Score): Float64Array[] {
  return plan.lanes.map(({ values }) => {
    if (score.kind === 'beyond') {
      return values.map((v) => (!Number.isNaN(v) && isBeyond(exposure, v, score.limit) ? 1 : 0))
    }
    const known = Array.from(values.keys()).filter((at) => !Number.isNaN(values[at] ?? NaN))
    const ranks = midRanks(known.map((at) => values[at] ?? NaN))
    const scores = new Float64Array(values.length)
    known.forEach((at, k) => (scores[at] = (2 * (ranks[k] ?? 0) - known.length - 1) / known.length))
    return scores
  })
}

/** The statistic of any order of weeks as a sum of one number for each week: what each pair of weeks would give. */
function crossed(plan: WeekPlan, scores: readonly Float64Array[]): { at: (order: Uint16Array) => number } {
  const { weeks, lanes } = plan
  const pairs = new Float64Array(weeks * weeks)
  lanes.forEach(({ weights }, l) => {
    const own = scores[l] ?? new Float64Array()
    for (let day = 0; day < weights.length; day++) {
      const weight = weights[day] ?? 0
      if (weight === 0) continue
      const row = Math.floor(day / WEEK_DAYS) * weeks
      for (let week = 0, at = day % WEEK_DAYS; week < weeks; week++, at += WEEK_DAYS) {
        pairs[row + week] = (pairs[row + week] ?? 0) + weight * (own[at] ?? 0)
      }
    }
  })
  const at = (order: Uint16Array): number => {
    let sum = 0
    for (let place = 0; place < weeks; place++) sum += pairs[(order[place] ?? 0) * weeks + place] ?? 0
    return sum
  }
  return { at }
}

function asItStands(weeks: number): Uint16Array {
  return Uint16Array.from({ length: weeks }, (_, i) => i)
}
