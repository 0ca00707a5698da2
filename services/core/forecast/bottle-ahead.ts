import type { FillProfile } from '../model/learned/fill-profile.ts'
import type { OpeningCalendar } from '../model/opening-hours.ts'
import type { Bottle, Settings } from '../model/settings.ts'
import { contentsG } from '../physics/bottle-volume.ts'
import { fillPaths, type FillBasis, type FillPaths } from './fill-paths.ts'
import { bandOf, probabilityOf, quantile, type BandPoint } from './quantile.ts'

const DAY_MS = 86_400_000
/** Two weeks ahead the profile says nothing new. */
export const BOTTLE_HORIZON_MS = 14 * DAY_MS

export interface BottleAhead {
  readonly madeMs: number
  readonly basis: FillBasis
  /** How many past weeks stand behind it. */
  readonly weeks: number
  /** When the bottle reaches its limit on 10, 50 and 90 % of the paths; null: not within the horizon, or not known. */
  readonly reaches: {
    readonly earliestMs: number | null
    readonly likelyMs: number | null
    readonly latestMs: number | null
  }
  /** When each path reaches it; null: not within the horizon. */
  readonly crossingsMs: readonly (number | null)[]
  /** Instant, and the fill in percent that 10, 50 and 90 % of the paths stay below; from now on, then at full hours. */
  readonly fillPct: readonly BandPoint[]
}

/**
 * When a waste bottle reaches its limit, from the shop's own weeks (rules AHEAD-1 to AHEAD-3).
 *
 * AHEAD-4 a bottle that is over its limit reached it now; with no history at all nothing is said.
 * AHEAD-5 of n paths the i-th in order stands at i / (n + 1), as `quantile` says: of eight, first and last are close to
 *         the 80 % interval.
 *
 * @param options.massKg what the scale reads, filtered.
 * @param options.limitPct fill in percent at which the bottle counts as full.
 */
export function bottleAhead(options: {
  readonly atMs: number
  readonly bottle: Bottle
  readonly massKg: number
  readonly limitPct: number
  readonly profile: FillProfile | undefined
  readonly calendar: OpeningCalendar
  readonly weekly: Settings['hours']['weekly']
  readonly horizonMs?: number
}): BottleAhead {
  const { atMs, bottle, massKg, limitPct, profile, calendar, weekly, horizonMs = BOTTLE_HORIZON_MS } = options
  const fullG = bottle.capacityMl * bottle.densityKgPerL
  const heldG = contentsG(massKg, bottle)
  const paths = fillPaths({ profile, fromMs: atMs, toMs: atMs + horizonMs, calendar, weekly })
  const roomG = (fullG * limitPct) / 100 - heldG
  const crossingsMs = paths.gainsG.map((gains) => crossingMs(gains, { paths, roomG, atMs }))
  const ordered = crossingsMs.map((at) => at ?? Infinity).sort((a, b) => a - b)
  const timeAt = (share: number): number | null => {
    const at = ordered.length === 0 ? Infinity : quantile(ordered, share)
    return Number.isFinite(at) ? Math.round(at) : null
  }
  return {
    madeMs: atMs,
    basis: paths.basis,
    weeks: paths.weeks,
    reaches: { earliestMs: timeAt(0.1), likelyMs: timeAt(0.5), latestMs: timeAt(0.9) },
    crossingsMs,
    fillPct: bandFrom(paths, { atMs, pctOf: (gainG) => ((heldG + gainG) / fullG) * 100 }),
  }
}

/** Probability that the bottle is full before `beforeMs`, 0 to 1; 1 when it is full now, null when nothing is known. */
export function probabilityFullBefore({ crossingsMs, madeMs }: BottleAhead, beforeMs: number): number | null {
  if (crossingsMs.length === 0) return null
  if (crossingsMs.every((at) => at === madeMs)) return 1
  const count = crossingsMs.filter((at) => at !== null && at < beforeMs).length
  return probabilityOf(count, crossingsMs.length)
}

function crossingMs(
  gainsG: Float64Array,
  { paths: { hours }, roomG, atMs }: { paths: FillPaths; roomG: number; atMs: number },
): number | null {
  if (roomG <= 0) return atMs
  let before = 0
  for (let i = 0; i < gainsG.length; i++) {
    const gained = gainsG[i] ?? 0
    const hour = hours[i]
    if (hour && gained >= roomG) {
      const part = (roomG - before) / (gained - before)
      return Math.round(hour.fromMs + part * (hour.toMs - hour.fromMs))
    }
    before = gained
  }
  return null
}

function bandFrom(
  { hours, gainsG }: FillPaths,
  { atMs, pctOf }: { atMs: number; pctOf: (gainG: number) => number },
): readonly BandPoint[] {
  if (gainsG.length === 0) return []
  const now = pctOf(0)
  const lines = gainsG.map((gains) => gains.map(pctOf))
  const times = hours.map(({ toMs }) => toMs)
  return [[atMs, now, now, now], ...bandOf(times, lines)]
}
