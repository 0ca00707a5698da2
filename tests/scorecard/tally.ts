import { quantile } from 'simple-statistics'
import { CONDITIONS, type Condition } from '../../services/core/model/episode.ts'
import {
  poissonInterval,
  wilsonInterval,
  type Interval,
} from '../../services/core/statistics/rate-interval.ts'
import { FORECAST_LEAD_MS } from './bottle-forecasts.ts'
import type { Finding, ShopScore } from './score-shop.ts'

const CONFIDENCE = 0.95
/** Below this lead it is no forecast any more. */
const LEAST_LEAD_MS = 1_800_000
/** Forecasts have at least this probability when they may wake somebody. */
const WAKES_AT = 0.8

export interface RatedShare {
  readonly count: number
  readonly of: number
  readonly interval: Interval
}
export interface Rate {
  readonly count: number
  readonly perMachineMonth: number
  readonly interval: Interval
}

export interface ConditionRow {
  readonly condition: Condition
  readonly hits: RatedShare
  readonly misses: readonly Finding[]
  readonly falseAlarms: Rate
  readonly falseFindings: readonly Finding[]
  readonly medianDelayMs: number | null
  readonly lateDelayMs: number | null
  /** Hits that took longer than one interval of the slowest sensor beyond the condition's own delay. */
  readonly lateHits: number
}

export interface ForecastRow {
  readonly title: string
  readonly count: number
  readonly medianLeadMs: number | null
  /** Median absolute error in percent of the lead. */
  readonly errorPct: number | null
  readonly covered: RatedShare
}

export interface Tally {
  readonly shops: number
  readonly machineMonths: number
  readonly readings: number
  readonly rows: readonly ConditionRow[]
  readonly forecasts: readonly ForecastRow[]
  /** Inks told with 80 % or more to dry before opening, the power staying off: how many did. */
  readonly toldDry: RatedShare
  readonly nightCalls: number
  readonly falseNightCalls: Rate
  readonly falseNightFindings: readonly Finding[]
  readonly unknownCleaningCalls: readonly Finding[]
  readonly disturbedScaleAlarms: readonly Finding[]
}

export function tallyOf(scores: readonly ShopScore[]): Tally {
  const machineMonths = sum(scores.map((s) => s.machineMonths))
  const falseNight = scores.flatMap((s) => s.falseNightCalls)
  return {
    shops: scores.length,
    machineMonths,
    readings: sum(scores.map((s) => s.readings)),
    rows: CONDITIONS.map((condition) => rowOf(condition, scores, machineMonths)),
    forecasts: forecastRows(scores),
    toldDry: toldDry(scores),
    nightCalls: sum(scores.map((s) => s.nightCalls)),
    falseNightCalls: rateOf(falseNight.length, machineMonths),
    falseNightFindings: falseNight,
    unknownCleaningCalls: scores.flatMap((s) => s.unknownCleaningCalls),
    disturbedScaleAlarms: scores.flatMap((s) => s.disturbedScaleAlarms),
  }
}

function rowOf(condition: Condition, scores: readonly ShopScore[], machineMonths: number): ConditionRow {
  const own = scores.flatMap((s) => s.conditions.filter((c) => c.condition === condition))
  const delaysMs = own.flatMap((c) => c.delaysMs)
  const falseFindings = own.flatMap((c) => c.falseAlarms)
  return {
    condition,
    hits: shareOf(sum(own.map((c) => c.hits)), sum(own.map((c) => c.occasions))),
    misses: own.flatMap((c) => c.misses),
    falseAlarms: rateOf(falseFindings.length, machineMonths),
    falseFindings,
    medianDelayMs: quantileOf(delaysMs, 0.5),
    lateDelayMs: quantileOf(delaysMs, 0.95),
    lateHits: sum(own.map((c) => c.lateHits)),
  }
}

function forecastRows(scores: readonly ShopScore[]): ForecastRow[] {
  const fills = scores.flatMap((s) => s.forecasts.fillForecasts)
  const fillRow = (title: string, list: typeof fills): ForecastRow => ({
    title,
    count: list.length,
    medianLeadMs: list.length === 0 ? null : FORECAST_LEAD_MS,
    errorPct: medianPct(list.map((f) => Math.abs(f.errorMs ?? Infinity) / FORECAST_LEAD_MS)),
    covered: shareOf(list.filter((f) => f.covered).length, list.length),
  })
  const dried = scores
    .flatMap((s) => s.forecasts.dryForecasts)
    .filter((f) => (f.leadMs ?? 0) >= LEAST_LEAD_MS)
  return [
    fillRow(
      'bottle reaches a level, 48 h ahead',
      fills.filter((f) => !f.surprised),
    ),
    fillRow('the same, with power cuts, leaks, hands and blocked lines in between', fills),
    {
      title: 'ink of a dark machine passes its limit',
      count: dried.length,
      medianLeadMs: quantileOf(
        dried.map((f) => f.leadMs ?? 0),
        0.5,
      ),
      errorPct: medianPct(dried.map((f) => Math.abs(f.errorMs ?? Infinity) / (f.leadMs ?? 1))),
      covered: shareOf(dried.filter((f) => f.covered).length, dried.length),
    },
  ]
}

function toldDry(scores: readonly ShopScore[]): RatedShare {
  const told = scores.flatMap((s) => s.forecasts.dryForecasts).filter((f) => f.probability >= WAKES_AT)
  return shareOf(told.filter((f) => f.leadMs !== null).length, told.length)
}

function shareOf(count: number, of: number): RatedShare {
  return { count, of, interval: wilsonInterval(count, of, CONFIDENCE) }
}

function rateOf(count: number, machineMonths: number): Rate {
  return {
    count,
    perMachineMonth: count / machineMonths,
    interval: poissonInterval(count, machineMonths, CONFIDENCE),
  }
}

function medianPct(shares: readonly number[]): number | null {
  const median = quantileOf(shares, 0.5)
  return median === null ? null : median * 100
}

function quantileOf(values: readonly number[], p: number): number | null {
  return values.length === 0 ? null : quantile([...values], p)
}

function sum(values: readonly number[]): number {
  return values.reduce((a, b) => a + b, 0)
}
