import type { PowerBands } from '../model/learned/power-bands.ts'
import { clustersOf } from './power-clusters.ts'
import { bandsOf, gapOf, inOrderOf, reachesOf, type Reaches } from './power-edges.ts'
import { labelsOf, type Labels, type PowerPast } from './power-labels.ts'
import { replay } from './power-replay.ts'
import { ascending, quantileOf, sampleMsOf, segmentsOf, type PowerSample } from './power-segments.ts'

export type { PowerPast } from './power-labels.ts'
export type { PowerSample } from './power-segments.ts'

/** Names the method; a change of it makes another version. */
export const POWER_BANDS_VERSION = 'power-bands-1'

/**
 * `tooShort`: under three days on. `nothingRecurs`: nothing stands out from rest that comes as cleanings or prints do.
 * `bandsOverlap`: levels too close, or they do not find again what was learned from. `pulsesLikeCleanings`: pulses or
 * prints at a cleaning's level. `twoLengths`: what comes at a cleaning's level has two lengths, and one is no cleaning.
 */
export type NotSeparable =
  'tooShort' | 'nothingRecurs' | 'bandsOverlap' | 'pulsesLikeCleanings' | 'twoLengths'

export type PowerBandsOutcome =
  | {
      readonly separable: true
      readonly value: PowerBands
      /** Why there is no cleaning band; null when there is one. */
      readonly noCleaning: NotSeparable | null
    }
  | {
      readonly separable: false
      readonly reason: NotSeparable
      readonly separation: number
      readonly samples: number
    }

const DAY_MS = 86_400_000
const LEAST_ON_MS = 3 * DAY_MS
/** Neighbours must lie this far apart (about an eighth), and their gap against their flanks. Starting values, no source. */
const LEAST_GAP = 0.12
const LEAST_SEPARATION = 0.5
/** Of all time away from rest, at most this share may be spent between the bands. A starting value. */
const MOST_BETWEEN = 0.1
/** Of what a replay of the past takes for printing, the share in closed hours; and its cleanings against those learned. */
const MOST_PRINTED_CLOSED = 0.3
const MOST_CLEANINGS = 1.5

/**
 * The power bands of a machine, from its own meter.
 *
 * BANDS-1 levels are clusters of stretches, not of minutes (see `clustersOf`), and are named by how long, how
 *         regularly and at what hours the machine is at them (see `labelsOf`).
 * BANDS-2 bands that lie too close, or between which the machine spends too long, are not used.
 *         Nor are bands that, used on the same past, find prints while the shop is closed, or far more cleanings.
 * BANDS-3 where a heater's pulses hide the levels, the lowest reading of each minute is looked at instead.
 * BANDS-4 without a cleaning that stands out there is no cleaning band; without a print either nothing is learned.
 *
 * @param past samples oldest first
 */
export function learnPowerBands(past: PowerPast): PowerBandsOutcome {
  const outcome = learnFrom(past)
  const hidden = outcome.separable ? outcome.noCleaning : outcome.reason
  if (hidden === null || hidden === 'twoLengths' || hidden === 'tooShort') return outcome
  // A meter that reports once a minute shows no minute's lowest reading.
  if (past.samples.every((s) => s.minW === s.maxW)) return outcome
  const stripped = learnFrom({ ...past, samples: past.samples.map(withoutPulses), coarse: true })
  return stripped.separable && (!outcome.separable || stripped.noCleaning === null) ? stripped : outcome
}

/** The lowest reading of a minute is what the machine draws without its heater's pulse, if that is shorter than a minute. */
function withoutPulses({ atMs, minW }: PowerSample): PowerSample {
  return { atMs, meanW: minW, minW, maxW: minW }
}

function learnFrom(past: PowerPast): PowerBandsOutcome {
  const { samples, offBelowW } = past
  const not = (reason: NotSeparable, separation = 0) =>
    ({ separable: false, reason, separation, samples: samples.length }) as const
  if (samples.length < 2) return not('tooShort')
  const sampleMs = sampleMsOf(samples)
  if (samples.filter((s) => s.meanW >= offBelowW).length * sampleMs < LEAST_ON_MS) return not('tooShort')
  const labels = labelsOf(past, clustersOf(segmentsOf(samples, offBelowW, sampleMs)), sampleMs)
  if (!labels || (!labels.cleaning && !labels.printing)) {
    return not(labels?.unlike ?? 'nothingRecurs')
  }
  const reaches = reachesOf(past, labels)
  const separation = separationOf(reaches)
  const value = valueOf({ past, labels, reaches, separation })
  const between = betweenShare(samples, value, sampleMs)
  if (separation < LEAST_SEPARATION || between > MOST_BETWEEN || !isBorneOut(past, labels, value, sampleMs)) {
    return not(labels.unlike ?? 'bandsOverlap', separation)
  }
  return { separable: true, value, noCleaning: labels.cleaning ? null : (labels.unlike ?? 'nothingRecurs') }
}

/** Do the bands, used as they will be, find in the same past about what was learned from it? */
function isBorneOut(
  past: PowerPast,
  { cleaning, printing }: Labels,
  value: PowerBands,
  sampleMs: number,
): boolean {
  const { cleanings, printedMs, printedClosedMs } = replay(past, value, sampleMs)
  const stays = cleaning?.stays.length ?? 0
  if (printing && printedClosedMs > MOST_PRINTED_CLOSED * printedMs) return false
  return cleanings <= stays * MOST_CLEANINGS
}

/** Did any edge of any band move by more than a fifth, or did a band come or go? Then a person should look at it. */
export function movedFar(before: PowerBands, after: PowerBands): boolean {
  const edges = ({ offBelowW, standbyW, cleaningW, printingW }: PowerBands) => [
    [offBelowW],
    standbyW,
    cleaningW ?? [],
    printingW ?? [],
  ]
  const now = edges(after)
  return edges(before).some((band, at) => {
    const other = now[at] ?? []
    return band.length !== other.length || band.some((w, i) => Math.abs((other[i] ?? 0) - w) > FAR * w)
  })
}
const FAR = 0.2

/** 0 when two neighbours are closer than they may be. */
function separationOf(reaches: Reaches): number {
  const inOrder = inOrderOf(reaches)
  const gaps = inOrder.slice(1).map((upper, i) => gapOf(inOrder[i] ?? upper, upper))
  if (gaps.length === 0 || gaps.some(({ gap }) => gap < LEAST_GAP)) return 0
  return Math.min(...gaps.map((g) => g.separation))
}

function valueOf(found: {
  readonly past: PowerPast
  readonly labels: Labels
  readonly reaches: Reaches
  readonly separation: number
}): PowerBands {
  const { past, labels, reaches, separation } = found
  const { samples, machineId } = past
  const { standbyW, cleaningW, printingW } = bandsOf(reaches)
  const seconds = labels.cleaning?.stays.map((s) => Math.round(s.durationMs / 1000)).sort(ascending)
  return {
    kind: 'powerBands',
    subjectId: machineId,
    fromMs: samples[0]?.atMs ?? 0,
    toMs: samples.at(-1)?.atMs ?? 0,
    version: POWER_BANDS_VERSION,
    offBelowW: offLimitOf(past, reaches),
    standbyW: standbyW ?? [0, past.offBelowW],
    cleaningW,
    printingW,
    cleaningS: seconds
      ? [quantileOf(seconds, 0.05), Math.max(quantileOf(seconds, 0.05) + 1, quantileOf(seconds, 0.95))]
      : null,
    separation: Math.round(separation * 100) / 100,
    samples: samples.length,
  }
}

/** Half way, by logarithm, from what the meter says of a machine that is off to its rest, at least what was told. */
function offLimitOf({ offBelowW }: PowerPast, { standby }: Reaches): number {
  return Math.min(Math.max(offBelowW, Math.sqrt(offBelowW * standby.lowW)), standby.lowW)
}

/** Of the time away from rest, the share spent between the bands; samples over a change of level are left out. */
function betweenShare(samples: readonly PowerSample[], value: PowerBands, sampleMs: number): number {
  let away = 0
  let between = 0
  for (const { fromIndex, toIndex, logW } of segmentsOf(samples, value.offBelowW, sampleMs)) {
    const powerW = Math.exp(logW)
    if (powerW <= value.standbyW[1]) continue
    away += toIndex - fromIndex
    const inBand = [value.cleaningW, value.printingW].some((b) => b && powerW >= b[0] && powerW <= b[1])
    if (!inBand) between += toIndex - fromIndex
  }
  return away === 0 ? 0 : between / away
}
