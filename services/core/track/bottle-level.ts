import type { LevelSample } from './bottle-facts.ts'

/** Readings closer together than this are one sample. */
const SLOT_MS = 20_000
/** Four minutes and a little for clocks that jitter: a hand of a minute is then never half of it, at any cadence. */
const WINDOW_MS = 250_000
/** A scale that reports every two minutes still has five samples to choose from, so that two may be wrong. */
const LEAST_KEPT = 5
const OLDEST_MS = 600_000
const LEAST_SAMPLES = 3
/** What a bottle gains within the window stays far below this; samples of one load agree within it. Starting value. */
const AGREE_WITHIN_KG = 0.05
/** The scale is at rest when all samples of this long agree. */
const REST_MS = 120_000

/** Adds a reading, and forgets what is too old. */
export function noteSample(samples: LevelSample[], atMs: number, massKg: number): void {
  const last = samples[samples.length - 1]
  if (last && Math.floor(last.atMs / SLOT_MS) === Math.floor(atMs / SLOT_MS)) {
    last.count++
    last.massKg += (massKg - last.massKg) / last.count
    return
  }
  samples.push({ atMs, massKg, count: 1 })
  while (tooOld(samples, atMs)) samples.shift()
}

function tooOld(samples: readonly LevelSample[], atMs: number): boolean {
  const first = samples[0]
  if (!first) return false
  const ageMs = atMs - first.atMs
  return ageMs > OLDEST_MS || (ageMs > WINDOW_MS && samples.length > LEAST_KEPT)
}

const sorted: number[] = []

/**
 * Median of the samples in kg, which a hand, a bump or a knee does not move; null with too few of them, or when no more
 * than half of them agree with it.
 */
export function medianKg(samples: readonly LevelSample[]): number | null {
  const { length } = samples
  if (length < LEAST_SAMPLES) return null
  sorted.length = 0
  for (const { massKg } of samples) insertSorted(massKg)
  const half = length >> 1
  const upper = sorted[half] ?? 0
  const median = length % 2 === 1 ? upper : (upper + (sorted[half - 1] ?? 0)) / 2
  let agree = 0
  for (const massKg of sorted) if (Math.abs(massKg - median) <= AGREE_WITHIN_KG) agree++
  return agree > half ? median : null
}

/** A dozen numbers: cheaper than a sort with a comparison. */
function insertSorted(value: number): void {
  let at = sorted.length
  sorted.push(value)
  for (; at > 0 && (sorted[at - 1] ?? 0) > value; at--) sorted[at] = sorted[at - 1] ?? 0
  sorted[at] = value
}

/** The first of the samples that agree within `toleranceKg` up to now for long enough to be a rest, or null. */
export function restFrom(
  samples: readonly LevelSample[],
  { sinceMs, toleranceKg }: { sinceMs: number; toleranceKg: number },
): number | null {
  const newest = samples[samples.length - 1]
  if (!newest) return null
  let low = newest.massKg
  let high = newest.massKg
  for (let i = samples.length - 1; i >= 0; i--) {
    const sample = samples[i]
    if (!sample || sample.atMs < sinceMs) return null
    low = Math.min(low, sample.massKg)
    high = Math.max(high, sample.massKg)
    if (high - low > toleranceKg) return null
    if (newest.atMs - sample.atMs >= REST_MS && samples.length - i >= LEAST_SAMPLES) return i
  }
  return null
}

/** Mean of the samples from `first` on, in kg. */
export function meanKgFrom(samples: readonly LevelSample[], first: number): number {
  let sum = 0
  for (let i = first; i < samples.length; i++) sum += samples[i]?.massKg ?? 0
  return sum / (samples.length - first)
}
