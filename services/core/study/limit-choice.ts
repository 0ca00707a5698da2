import type { Resampling } from '../statistics/permutation.ts'
import { atLimit, type AtLimit } from './at-limit.ts'
import { EXPOSURE_KINDS, isBeyond, type Exposure } from './exposure.ts'
import { countedNights, type Series } from './nights.ts'
import { bestLimitTest, weekTest, type WeekTest } from './week-blocks.ts'

export interface LimitChoice {
  readonly limit: number
  /** On the months it was chosen from: p of the best of all limits that were tried. */
  readonly chosenP: number
  readonly limitsTried: number
  /** On the other months, which had no say. */
  readonly judged: AtLimit
  readonly judgedWeeks: WeekTest | null
  /** What the limit would have done in the judged months. */
  readonly clogsCaught: number
  readonly clogsMissed: number
  readonly falseAlarms: number
  readonly alarmsAMonth: number
}

/** Why no limit is proposed. */
export interface NoChoice {
  readonly reason: 'tooFewClogs' | 'oneMonth' | 'noneHarmful'
}

/** Shares of the nights at which a limit is tried. */
const TRIED_AT = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9]
/** Each part needs this many. Starting value. */
const LEAST_CLOGS_EACH = 5
const NIGHTS_A_MONTH = 365.25 / 12

/**
 * A better limit for an exposure.
 *
 * CHOICE-1 It is chosen on every other month and judged on the months between, which had no say.
 * CHOICE-2 Limits are tried at tenths of the nights; the one whose clogs stand out most on the harmful side is chosen,
 *          and its p pays for having tried them all.
 * CHOICE-3 An alarm is a night of a channel group beyond the limit; nights without a check are alarms too, but count
 *          neither as caught nor as false.
 * CHOICE-4 Fewer than five clogs in either part, or one month alone, or no limit with more clogs beyond it: none.
 */
export function chooseLimit(
  all: readonly Series[],
  exposure: Exposure,
  resampling: Resampling,
): LimitChoice | NoChoice {
  const { chosenFrom, judgedOn, judgedMonths } = halves(all)
  if (judgedMonths.size === 0) return { reason: 'oneMonth' }
  if (Math.min(clogsIn(chosenFrom, exposure), clogsIn(judgedOn, exposure)) < LEAST_CLOGS_EACH) {
    return { reason: 'tooFewClogs' }
  }
  const limits = limitsToTry(chosenFrom, exposure)
  const tried = bestLimitTest(chosenFrom, { exposure, limits }, resampling)
  if (tried === null) return { reason: 'noneHarmful' }
  const best = tried.excesses
    .map((excess, i) => ({ excess, i, p: tried.pOfEach[i] ?? 1 }))
    .filter(({ excess }) => excess > 0)
    .sort((a, b) => a.p - b.p || b.excess - a.excess)[0]
  const limit = best && limits[best.i]
  if (best === undefined || limit === undefined) return { reason: 'noneHarmful' }
  return {
    limit,
    chosenP: best.p,
    limitsTried: limits.length,
    ...judgedAt(judgedOn, { exposure, limit, judgedMonths }, resampling),
  }
}

interface JudgedOptions {
  readonly exposure: Exposure
  readonly limit: number
  readonly judgedMonths: ReadonlySet<number>
}

function judgedAt(judgedOn: readonly Series[], options: JudgedOptions, resampling: Resampling) {
  const { exposure, limit } = options
  return {
    judged: judgedTable(judgedOn, options),
    judgedWeeks: weekTest(judgedOn, { exposure, score: { kind: 'beyond', limit } }, resampling),
    ...countedAt(judgedOn, options),
  }
}

/** What a limit would have done in the months that a choice is judged on. */
export type JudgedCounts = Pick<LimitChoice, 'clogsCaught' | 'clogsMissed' | 'falseAlarms' | 'alarmsAMonth'>

/** CHOICE-5 the limit that holds today is counted over the same months as the one that is proposed. */
export function judgedMonthsAt(all: readonly Series[], exposure: Exposure, limit: number): JudgedCounts {
  const { judgedOn, judgedMonths } = halves(all)
  return countedAt(judgedOn, { exposure, limit, judgedMonths })
}

function judgedTable(judgedOn: readonly Series[], { exposure, limit }: JudgedOptions): AtLimit {
  return atLimit(
    judgedOn.map((s) => countedNights(s, exposure)),
    exposure,
    limit,
  )
}

function countedAt(judgedOn: readonly Series[], options: JudgedOptions): JudgedCounts {
  const { exposure, limit, judgedMonths } = options
  const { table } = judgedTable(judgedOn, options)
  const inPart = judgedOn
    .flatMap((s) =>
      Array.from(s.days, (day, i) => ({
        day,
        month: s.months[i] ?? -1,
        value: s.exposures[exposure][i] ?? NaN,
      })),
    )
    .filter((n) => judgedMonths.has(n.month))
  const alarms = inPart.filter((n) => isBeyond(exposure, n.value, limit)).length
  const nights = new Set(inPart.map((n) => n.day)).size
  return {
    clogsCaught: table.exposedHits,
    clogsMissed: table.restHits,
    falseAlarms: table.exposedMisses,
    alarmsAMonth: nights === 0 ? 0 : (alarms / nights) * NIGHTS_A_MONTH,
  }
}

interface Halves {
  readonly chosenFrom: readonly Series[]
  readonly judgedOn: readonly Series[]
  readonly judgedMonths: ReadonlySet<number>
}

/** Every other month that has nights, from the first; and those between. The other part's outcomes are not known. */
function halves(all: readonly Series[]): Halves {
  const months = [...new Set(all.flatMap((s) => Array.from(s.months)))].sort((a, b) => a - b)
  const judgedMonths = new Set(months.filter((_, i) => i % 2 === 1))
  const part = (judged: boolean): Series[] =>
    all.map((s) => ({
      ...s,
      outcomes: s.outcomes.map((o, i) => (judgedMonths.has(s.months[i] ?? -1) === judged ? o : -1)),
    }))
  return { chosenFrom: part(false), judgedOn: part(true), judgedMonths }
}

function clogsIn(part: readonly Series[], exposure: Exposure): number {
  return part.reduce((n, s) => n + countedNights(s, exposure).filter((night) => night.isClog).length, 0)
}

function limitsToTry(part: readonly Series[], exposure: Exposure): number[] {
  const values = part.flatMap((s) => countedNights(s, exposure).map((n) => n.value)).sort((a, b) => a - b)
  const tried = TRIED_AT.map((share) => rounded(values[Math.floor(share * values.length)] ?? NaN))
  const isHarmfulAbove = EXPOSURE_KINDS[exposure].harmful === 'more'
  const [lowest = NaN, highest = NaN] = [values[0], values.at(-1)]
  return [...new Set(tried)].filter((l) => (isHarmfulAbove ? l < highest : l > lowest))
}

/** To a tenth: a limit that a person can type. */
function rounded(value: number): number {
  return Math.round(value * 10) / 10
}
