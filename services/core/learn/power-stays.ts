import { middleOf } from './middle.ts'
import type { Cluster } from './power-clusters.ts'
import { hasGapBefore, type PowerSample } from './power-segments.ts'

/** One stretch within a level, measured to less than a sample by what the samples over its ends say. */
export interface Stay {
  readonly fromIndex: number
  readonly toIndex: number
  readonly fromMs: number
  readonly durationMs: number
  /** It came from rest and went to rest, so that its length is known; neither from a higher level nor from a gap. */
  readonly amidRest: boolean
}

/** How far outside a cluster a sample may lie and still be of it, in logarithms. A starting value. */
const BESIDE = 0.06

/**
 * Stretches of samples within `levels` (of one cluster, or from one up to infinity). One sample elsewhere does not end
 * a stretch. `restW` is what the machine draws at rest: an average over an end of the stretch, between rest and it,
 * gives it its part.
 */
export function staysOf(
  samples: readonly PowerSample[],
  levels: Pick<Cluster, 'lowLog' | 'highLog'>,
  { restW, sampleMs }: { restW: number; sampleMs: number },
): Stay[] {
  const lowW = Math.exp(levels.lowLog - BESIDE)
  const highW = Math.exp(levels.highLog + BESIDE)
  const within = (i: number): boolean => {
    const meanW = samples[i]?.meanW ?? NaN
    return meanW >= lowW && meanW <= highW
  }
  const middleW = Number.isFinite(highW) ? Math.sqrt(lowW * highW) : lowW
  const partOf = (i: number): number | null => {
    const meanW = samples[i]?.meanW ?? NaN
    if (meanW > highW) return null
    return meanW > restW && meanW < lowW ? (meanW - restW) / (middleW - restW) : 0
  }
  const stays: Stay[] = []
  let i = 0
  while (i < samples.length) {
    if (!within(i)) {
      i++
      continue
    }
    const fromIndex = i
    let lastIndex = i
    while (i + 1 < samples.length && i - lastIndex < 2 && !hasGapBefore(samples, i + 1, sampleMs)) {
      i++
      if (within(i)) lastIndex = i
    }
    const toIndex = lastIndex + 1
    const before = hasGapBefore(samples, fromIndex, sampleMs) ? null : partOf(fromIndex - 1)
    const after = hasGapBefore(samples, toIndex, sampleMs) ? null : partOf(toIndex)
    stays.push({
      fromIndex,
      toIndex,
      fromMs: (samples[fromIndex]?.atMs ?? 0) - sampleMs,
      durationMs: (toIndex - fromIndex + (before ?? 0) + (after ?? 0)) * sampleMs,
      amidRest: before !== null && after !== null,
    })
    i = Math.max(i, toIndex)
  }
  return stays
}

/** Median and spread of some times, in ms. */
export interface Usual {
  readonly medianMs: number
  /** Median distance from the median. */
  readonly madMs: number
  readonly count: number
}

export function usualOf(timesMs: readonly number[]): Usual | null {
  if (timesMs.length === 0) return null
  const medianMs = middleOf(timesMs)
  const madMs = middleOf(timesMs.map((t) => Math.abs(t - medianMs)))
  return { medianMs, madMs, count: timesMs.length }
}
