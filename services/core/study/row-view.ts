import type { CauseRowView, OddsView } from '../model/causes-view.ts'
import { CONFIDENCE, type AtLimit } from './at-limit.ts'
import type { CauseRow } from './causes.ts'
import { ENOUGH_FOR_AVERAGE } from './before-clog.ts'
import { wilsonInterval, type Interval } from '../statistics/rate-interval.ts'
import { countedNights, type Series } from './nights.ts'
import type { PageLimit } from './page-limits.ts'
import type { Exposure } from '../model/night-exposure.ts'

const MOST_OTHERS = 300
/** Odds are told for a step that a person can picture. */
const STEP: Readonly<Record<Exposure, number>> = {
  doseKpaH: 5,
  minHumidityPct: 5,
  hoursBelowPct: 1,
  darkHours: 1,
  uncappedHours: 1,
  cleaningsSeen: 1,
  minTemperatureC: 1,
}

/** A row of the page in values that survive JSON: what has no end is null. */
export function rowView(
  row: CauseRow,
  { all, nameOf, limit }: { all: readonly Series[]; nameOf: (id: string) => string; limit: PageLimit },
): CauseRowView {
  const { exposure, nights, clogs, verdict, doseResponse, crossover, before } = row
  const { fit, curve } = doseResponse
  const counted = all.flatMap((s) => countedNights(s, exposure))
  const step = STEP[exposure]
  const average = before.average
  return {
    exposure,
    nights,
    clogs,
    unknownNights: checkedNights(all) - nights,
    verdict,
    table: row.atLimit && tableView(row.atLimit, limit),
    curve: curve.map(({ value, share, band }) => ({ value, share, ...band })),
    slope: fit.converged ? slopeView(fit.coefficients[1], fit.intervals[0], fit.pValues[0], step) : null,
    withinMonth: crossover.converged
      ? {
          ...slopeView(crossover.coefficient, crossover.interval, crossover.p, step),
          strata: crossover.strata,
        }
      : null,
    clogNights: sortedValues(counted.filter((n) => n.isClog)),
    otherNights: thinned(sortedValues(counted.filter((n) => !n.isClog))),
    traces:
      before.traces.length < ENOUGH_FOR_AVERAGE || average === null
        ? before.traces.slice(0, ENOUGH_FOR_AVERAGE).map(({ channelGroupId, day, ...trace }) => ({
            name: nameOf(channelGroupId),
            nightOf: dateOf(day),
            values: [...trace.values],
            matched: [...trace.matched],
            matchedNights: trace.matchedNights,
          }))
        : [],
    average: average && average.map(({ difference, band }) => ({ difference, ...band })),
  }
}

/** `2026-03-14` of a number of days since 1970-01-01. */
export function dateOf(day: number): string {
  return new Date(day * 86_400_000).toISOString().slice(0, 10)
}

/** Checked nights that were not acted upon, whatever is known of them. */
export function checkedNights(all: readonly Series[]): number {
  return all.reduce(
    (n, { outcomes, actedUpon }) => n + outcomes.filter((o, i) => o >= 0 && actedUpon[i] !== 1).length,
    0,
  )
}

function tableView(at: AtLimit, { origin }: PageLimit): CauseRowView['table'] {
  const { table, pooled, exact, fisher, limit } = at
  const shared = (clogs: number, misses: number) => ({
    clogs,
    nights: clogs + misses,
    ...wilsonInterval(clogs, clogs + misses, CONFIDENCE),
  })
  return {
    limit,
    origin,
    beyond: shared(table.exposedHits, table.exposedMisses),
    within: shared(table.restHits, table.restMisses),
    pooled: exact
      ? oddsView(exact.oddsRatio, exact.interval, exact.pTwoSided)
      : oddsView(pooled.oddsRatio, pooled.interval, pooled.p),
    fisher: oddsView(fisher.oddsRatio, fisher.interval, fisher.pTwoSided),
    midP: fisher.midPTwoSided,
  }
}

function oddsView(ratio: number | null, { low, high }: Interval, p: number): OddsView {
  return {
    ratio: ratio === null || !Number.isFinite(ratio) ? null : ratio,
    isEndless: ratio === Infinity,
    low: Number.isFinite(low) ? low : 0,
    high: Number.isFinite(high) ? high : null,
    p,
  }
}

function slopeView(
  coefficient: number | undefined,
  interval: Interval | null | undefined,
  p: number | null | undefined,
  step: number,
) {
  const odds = (value: number): number => Math.exp(value * step)
  const { low, high } = interval ?? { low: -Infinity, high: Infinity }
  return { ...oddsView(odds(coefficient ?? 0), { low: odds(low), high: odds(high) }, p ?? 1), step }
}

function sortedValues(nights: readonly { readonly value: number }[]): number[] {
  return nights.map((n) => n.value).sort((a, b) => a - b)
}

/** So many of them, evenly from the lowest to the highest. */
function thinned(values: readonly number[]): number[] {
  if (values.length <= MOST_OTHERS) return [...values]
  return Array.from(
    { length: MOST_OTHERS },
    (_, i) => values[Math.round((i * (values.length - 1)) / (MOST_OTHERS - 1))] ?? NaN,
  )
}
