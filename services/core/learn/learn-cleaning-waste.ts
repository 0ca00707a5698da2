import type { CleaningWaste } from '../model/learned/cleanings.ts'
import type { Bottle } from '../model/settings.ts'
import { ruleOfBottle } from '../track/bottle-of.ts'
import type { WeighedSpan } from './learn-fill-profile.ts'
import { robustSigma } from '../statistics/robust.ts'
import { middleOf } from './middle.ts'

/** Names the method; a change of it makes another version. */
export const CLEANING_WASTE_VERSION = 'cleaning-waste-2'

const MINUTE_MS = 60_000
/** The scale before a cleaning that ended at 0, and after it: the cleaning itself, a late end and the flow lie between. */
const BEFORE_MS = [-40 * MINUTE_MS, -10 * MINUTE_MS] as const
const AFTER_MS = [5 * MINUTE_MS, 35 * MINUTE_MS] as const
/** Readings of one side that differ by more are a machine that prints, or a hand. Starting value. */
const QUIET_WITHIN_G = 3
/** More in one cleaning is a bottle that was filled by hand, or put back. Starting value. */
const MOST_G = 500
/** Less is within what a scale may drift by in an hour. Starting value. */
const LEAST_WASTE_G = 2

export interface CleaningsPast {
  readonly machineId: string
  readonly bottle: Bottle
  /** When each cleaning of the machine was seen to end, in order. */
  readonly cleaningsMs: readonly number[]
  /** The same of the other machines that drain into the bottle. */
  readonly otherCleaningsMs?: readonly number[]
  /** In order of time, each a quarter of an hour or less. */
  readonly weighed: readonly WeighedSpan[]
  readonly toMs: number
}

/**
 * What one self-cleaning of a machine adds to its bottle, from the cleanings that were seen.
 *
 * CLEANING-WASTE-1 a cleaning counts when the scale was quiet before it and after it, and no other cleaning falls between; its
 *                  gain is the difference of the two medians.
 * CLEANING-WASTE-2 what is learned is the median of the gains, and as sigma 1.4826 times their median deviation, so that a
 *                  lump, a hand or a lost purge moves neither.
 * CLEANING-WASTE-3 with no cleaning that counts nothing is learned; with fewer than five the value is not used.
 * CLEANING-WASTE-4 how many brought at least half of that is told as a share: what is no cleaning brings nothing. A usual
 *                  gain of less than 2 g is no proof.
 */
export function learnCleaningWaste(past: CleaningsPast): CleaningWaste | null {
  const { machineId, cleaningsMs, otherCleaningsMs = [], toMs } = past
  const weighed = past.weighed.filter((s) => s.toMs <= toMs)
  const all = [...cleaningsMs, ...otherCleaningsMs].sort((a, b) => a - b)
  const liftedBelowKg = ruleOfBottle(past.bottle).liftedBelowKg
  const gains: number[] = []
  for (const atMs of cleaningsMs) {
    const near = all.filter((ms) => ms > atMs + BEFORE_MS[0] && ms < atMs + AFTER_MS[1])
    if (near.length > 1) continue
    const before = quietLevelG(weighed, [atMs + BEFORE_MS[0], atMs + BEFORE_MS[1]], liftedBelowKg)
    const after = quietLevelG(weighed, [atMs + AFTER_MS[0], atMs + AFTER_MS[1]], liftedBelowKg)
    if (before === null || after === null) continue
    const gain = after - before
    if (Math.abs(gain) <= MOST_G) gains.push(gain)
  }
  if (gains.length === 0) return null
  const usual = middleOf(gains)
  return {
    kind: 'cleaningWaste',
    subjectId: machineId,
    fromMs: Math.min(cleaningsMs[0] ?? toMs, toMs),
    toMs,
    version: CLEANING_WASTE_VERSION,
    gramsPerCleaning: Math.max(0, usual),
    sigmaG: robustSigma(gains),
    cleanings: gains.length,
    broughtShare: usual < LEAST_WASTE_G ? 0 : gains.filter((g) => g >= usual / 2).length / gains.length,
  }
}

/** Median of the last readings of the spans that lie wholly within, in g; null when they differ, or no bottle stood there. */
function quietLevelG(
  weighed: readonly WeighedSpan[],
  [fromMs, toMs]: readonly [number, number],
  liftedBelowKg: number,
): number | null {
  const lasts: number[] = []
  for (let i = firstFrom(weighed, fromMs); i < weighed.length; i++) {
    const span = weighed[i]
    if (!span || span.toMs > toMs) break
    if (Math.min(span.lastKg, span.meanKg) < liftedBelowKg) return null
    lasts.push(span.lastKg * 1000)
  }
  if (lasts.length === 0) return null
  const level = middleOf(lasts)
  const away = middleOf(lasts.map((g) => Math.abs(g - level)))
  return away > QUIET_WITHIN_G / 3 ||
    Math.abs((lasts[0] ?? 0) - (lasts[lasts.length - 1] ?? 0)) > QUIET_WITHIN_G
    ? null
    : level
}

/** The first span that begins at `fromMs` or later. */
function firstFrom(weighed: readonly WeighedSpan[], fromMs: number): number {
  let low = 0
  let high = weighed.length
  while (low < high) {
    const half = (low + high) >> 1
    if ((weighed[half]?.fromMs ?? Infinity) < fromMs) low = half + 1
    else high = half
  }
  return low
}
