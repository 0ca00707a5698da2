import { signFlipTest, type PermutationResult, type Resampling } from '../statistics/permutation.ts'
import { seededDraw } from '../statistics/random.ts'
import type { Interval } from '../statistics/rate-interval.ts'
import { NIGHTS_AFTER_CLOG } from './case-crossover.ts'
import type { Exposure } from './exposure.ts'
import type { Series } from './nights.ts'

/** The night of the clog and the three before it: nights back, oldest first. */
export const NIGHTS_BACK = [3, 2, 1, 0] as const
/** From so many clogs on an average is drawn; under it each clog by itself. */
export const ENOUGH_FOR_AVERAGE = 10

/** What came before one clog, beside nights of the same channel group and month that no clog was near. */
export interface ClogTrace {
  readonly channelGroupId: string
  /** Days since 1970-01-01. */
  readonly day: number
  /** One for each of `NIGHTS_BACK`; null where it was not known. */
  readonly values: readonly (number | null)[]
  /** Mean of the matched nights, likewise. */
  readonly matched: readonly (number | null)[]
  readonly matchedNights: number
}

export interface BeforeClogs {
  readonly traces: readonly ClogTrace[]
  /** From ten clogs on: the mean over clogs less that of their matched nights, with the band of resampled clogs. */
  readonly average: readonly { readonly difference: number; readonly band: Interval }[] | null
  /** Whether the nights before clogs differ, each clog taken as one: by giving each difference either sign. */
  readonly test: PermutationResult | null
}

/**
 * The three nights before each clog, and its own.
 *
 * BEFORE-1 A clog in the week after another is left out, as are nights to compare with in the week after a clog or in
 *          the three nights before one.
 * BEFORE-2 Under ten clogs no average is drawn: each stands by itself.
 * BEFORE-3 The band resamples whole clogs with the seed given: the same clogs give the same band.
 */
export function beforeClogs(
  all: readonly Series[],
  exposure: Exposure,
  resampling: Resampling | null,
): BeforeClogs {
  const traces = all.flatMap((series) => tracesOf(series, exposure))
  const complete = traces.flatMap((t) => differencesOf(t) ?? [])
  return {
    traces,
    average:
      complete.length >= ENOUGH_FOR_AVERAGE && resampling !== null ? averageOf(complete, resampling) : null,
    test:
      complete.length > 0 && resampling !== null
        ? signFlipTest(
            complete.map((d) => meanOf(d.values)),
            resampling,
          )
        : null,
  }
}

interface Differences {
  readonly values: readonly number[]
}

function differencesOf(trace: ClogTrace): Differences | null {
  const values = trace.values.map((v, i) => {
    const matched = trace.matched[i] ?? null
    return v === null || matched === null ? null : v - matched
  })
  return values.every((v) => v !== null) ? { values } : null
}

function tracesOf(series: Series, exposure: Exposure): ClogTrace[] {
  const { days, outcomes, months, actedUpon } = series
  const clogDays = Array.from(days.filter((_, i) => outcomes[i] === 1))
  if (clogDays.length === 0) return []
  const placeOf = new Map(Array.from(days, (day, i) => [day, i]))
  const isAfter = (day: number): boolean =>
    clogDays.some((clog) => day > clog && day - clog <= NIGHTS_AFTER_CLOG)
  const isBefore = (day: number): boolean =>
    clogDays.some((clog) => clog >= day && clog - day <= NIGHTS_BACK[0])
  const back = (day: number): (number | null)[] =>
    NIGHTS_BACK.map((n) => known(series.exposures[exposure][placeOf.get(day - n) ?? -1]))
  const matchedIn = (month: number): number[] => {
    const quiet: number[] = []
    for (let i = Math.max(0, months.indexOf(month)); months[i] === month; i++) {
      const day = days[i] ?? NaN
      if (outcomes[i] === 0 && actedUpon[i] !== 1 && !isAfter(day) && !isBefore(day)) quiet.push(day)
    }
    return quiet
  }
  return clogDays.flatMap((day) => {
    const at = placeOf.get(day) ?? -1
    if (isAfter(day) || actedUpon[at] === 1) return []
    const others = matchedIn(months[at] ?? -1)
    const matched = others.map(back)
    return {
      channelGroupId: series.channelGroupId,
      day,
      values: back(day),
      matched: NIGHTS_BACK.map((_, k) => meanOrNull(matched.flatMap((m) => m[k] ?? []))),
      matchedNights: others.length,
    }
  })
}

function averageOf(clogs: readonly Differences[], { draws, seed }: Resampling) {
  const draw = seededDraw(seed)
  const picks = Array.from({ length: draws }, () => clogs.map(() => Math.floor(draw() * clogs.length)))
  return NIGHTS_BACK.map((_, k) => {
    const own = clogs.map((c) => c.values[k] ?? NaN)
    const means = picks.map((pick) => meanOf(pick.map((i) => own[i] ?? NaN))).sort((a, b) => a - b)
    const at = (share: number): number => means[Math.round(share * (means.length - 1))] ?? NaN
    return { difference: meanOf(own), band: { low: at(0.025), high: at(0.975) } }
  })
}

function known(value: number | undefined): number | null {
  return value === undefined || Number.isNaN(value) ? null : value
}

function meanOf(values: readonly number[]): number {
  return values.reduce((a, b) => a + b, 0) / values.length
}

function meanOrNull(values: readonly number[]): number | null {
  return values.length === 0 ? null : meanOf(values)
}
