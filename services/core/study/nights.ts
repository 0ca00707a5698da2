import type { NightOutcome } from './clogs.ts'
import { dayNumber, EXPOSURES, mustBeExposure, type Exposure, type NightExposure } from './exposure.ts'

/** Nights of one channel group, in order. What is not known is null; arrays have one place a night. */
export interface Series {
  readonly channelGroupId: string
  readonly headId: string
  /** Days since 1970-01-01, rising. */
  readonly days: Int32Array
  /** Calendar month of each night, as year times 12 plus month from 0. */
  readonly months: Int32Array
  readonly exposures: Readonly<Record<Exposure, Float64Array>>
  /** 1 clogged, 0 clear, -1 not known or not counted. */
  readonly outcomes: Int8Array
  /** 1 where Nightcap told somebody who did something. */
  readonly actedUpon: Uint8Array
}

/**
 * Exposures and outcomes put together, a series for each channel group, in order of their names.
 *
 * JOIN-1 A night that was acted upon keeps its outcome; who counts leaves it out and shows it apart.
 * JOIN-2 An outcome without a stored exposure is left out.
 * JOIN-3 In the arrays an exposure that is not known is NaN; it never reaches a statistic.
 *
 * @throws {RangeError} if a date is none, a value no number, or a night of a channel group comes twice.
 */
export function joinNights(exposures: readonly NightExposure[], outcomes: readonly NightOutcome[]): Series[] {
  const byGroup = new Map<string, NightExposure[]>()
  for (const night of exposures) {
    mustBeExposure(night)
    const own = byGroup.get(night.channelGroupId)
    if (own === undefined) byGroup.set(night.channelGroupId, [night])
    else own.push(night)
  }
  const clogOf = new Map(outcomes.map((o) => [`${o.channelGroupId} ${o.nightOf}`, o.isClog]))
  return [...byGroup]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([channelGroupId, nights]) => seriesOf(channelGroupId, nights, clogOf))
}

function seriesOf(
  channelGroupId: string,
  nights: readonly NightExposure[],
  clogOf: ReadonlyMap<string, boolean>,
): Series {
  const sorted = Array.from(nights).sort((a, b) => (a.nightOf < b.nightOf ? -1 : 1))
  sorted.forEach(({ nightOf }, i) => {
    if (i > 0 && sorted[i - 1]?.nightOf === nightOf) {
      throw new RangeError(`the night of ${nightOf} of ${channelGroupId} came twice`)
    }
  })
  const outcome = (nightOf: string): number => {
    const isClog = clogOf.get(`${channelGroupId} ${nightOf}`)
    return isClog === undefined ? -1 : Number(isClog)
  }
  const values = (exposure: Exposure): Float64Array => Float64Array.from(sorted, (n) => n[exposure] ?? NaN)
  return {
    channelGroupId,
    headId: sorted[0]?.headId ?? '',
    days: Int32Array.from(sorted, (n) => dayNumber('nightOf', n.nightOf)),
    months: Int32Array.from(sorted, (n) => monthOf(n.nightOf)),
    exposures: recordOf(values),
    outcomes: Int8Array.from(sorted, (n) => outcome(n.nightOf)),
    actedUpon: Uint8Array.from(sorted, (n) => Number(n.actedUpon)),
  }
}

function recordOf(values: (exposure: Exposure) => Float64Array): Readonly<Record<Exposure, Float64Array>> {
  return {
    doseKpaH: values('doseKpaH'),
    minHumidityPct: values('minHumidityPct'),
    hoursBelowPct: values('hoursBelowPct'),
    darkHours: values('darkHours'),
    uncappedHours: values('uncappedHours'),
    cleaningsSeen: values('cleaningsSeen'),
    minTemperatureC: values('minTemperatureC'),
  }
}

function monthOf(nightOf: string): number {
  return Number(nightOf.slice(0, 4)) * 12 + Number(nightOf.slice(5, 7)) - 1
}

/** A night that counts for an exposure: known, checked, and not acted upon. */
export interface CountedNight {
  readonly value: number
  readonly isClog: boolean
  readonly day: number
  readonly month: number
}

/** Nights that count for an exposure, by series. */
export function countedNights(series: Series, exposure: Exposure): CountedNight[] {
  const counted: CountedNight[] = []
  const values = series.exposures[exposure]
  for (let i = 0; i < values.length; i++) {
    const value = values[i] ?? NaN
    const outcome = series.outcomes[i] ?? -1
    if (Number.isNaN(value) || outcome < 0 || series.actedUpon[i] === 1) continue
    counted.push({ value, isClog: outcome === 1, day: series.days[i] ?? 0, month: series.months[i] ?? 0 })
  }
  return counted
}

/** The part of the series that lies in these days, from the first to before the second. */
export function nightsBetween(all: readonly Series[], fromDay: number, toDay: number): Series[] {
  return all
    .map((series) =>
      keptNights(series, (i) => {
        const day = series.days[i] ?? 0
        return day >= fromDay && day < toDay
      }),
    )
    .filter((series) => series.days.length > 0)
}

function keptNights(series: Series, keep: (i: number) => boolean): Series {
  const exposures = Object.fromEntries(
    EXPOSURES.map((e) => [e, series.exposures[e].filter((_, i) => keep(i))]),
  )
  return {
    ...series,
    days: series.days.filter((_, i) => keep(i)),
    months: series.months.filter((_, i) => keep(i)),
    exposures: recordOf((e) => exposures[e] ?? new Float64Array()),
    outcomes: series.outcomes.filter((_, i) => keep(i)),
    actedUpon: series.actedUpon.filter((_, i) => keep(i)),
  }
}
