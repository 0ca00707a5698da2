/** What a meter said within a minute or so, in W. `meanW` is the mean of its readings; the newest samples stand last. */
export interface PowerSample {
  readonly atMs: number
  readonly meanW: number
  readonly minW: number
  readonly maxW: number
}

/** Samples in a row at one level, from `fromIndex` up to but not including `toIndex`. */
export interface Segment {
  readonly fromIndex: number
  readonly toIndex: number
  /** Natural logarithm of the mean power in W. */
  readonly logW: number
}

/** Samples whose logarithms lie this close are at one level; noise and a pump's stroke stay below. A starting value. */
const SAME_LEVEL = 0.12
/** A sample that is steady in itself is a level of its own, even alone. */
const STEADY = 0.25
/** Samples farther apart than so many of their usual distances have a gap between them. */
const GAP_SAMPLES = 2.5

/** The usual distance of two samples: the median, in ms. @throws {RangeError} below two samples. */
export function sampleMsOf(samples: readonly PowerSample[]): number {
  const steps = samples.slice(1).map((s, i) => s.atMs - (samples[i]?.atMs ?? 0))
  if (steps.length === 0) throw new RangeError('a distance needs two samples')
  return quantileOf(steps.sort(ascending), 0.5)
}

export function hasGapBefore(samples: readonly PowerSample[], index: number, sampleMs: number): boolean {
  const here = samples[index]
  const before = samples[index - 1]
  return !here || !before || here.atMs - before.atMs > GAP_SAMPLES * sampleMs
}

/**
 * Stretches at one level while the machine is on. Samples over a change, which are an average of two levels and at
 * none, are left out.
 */
export function segmentsOf(samples: readonly PowerSample[], offBelowW: number, sampleMs: number): Segment[] {
  const segments: Segment[] = []
  let fromIndex = 0
  let sum = 0
  const end = (toIndex: number): void => {
    const count = toIndex - fromIndex
    if (count >= 2 || (count === 1 && isSteady(samples[fromIndex]))) {
      segments.push({ fromIndex, toIndex, logW: sum / count })
    }
    fromIndex = toIndex
    sum = 0
  }
  samples.forEach(({ meanW }, index) => {
    const on = meanW >= offBelowW
    const logW = Math.log(Math.max(meanW, Number.MIN_VALUE))
    const count = index - fromIndex
    const apart = count > 0 && Math.abs(logW - sum / count) > SAME_LEVEL
    if (!on || apart || hasGapBefore(samples, index, sampleMs)) end(index)
    if (on) sum += logW
    else fromIndex = index + 1
  })
  end(samples.length)
  return segments
}

/** Steady in itself, which only a sample of several readings can show. */
function isSteady(sample: PowerSample | undefined): boolean {
  return sample !== undefined && sample.maxW > sample.minW && Math.log(sample.maxW / sample.minW) < STEADY
}

export const ascending = (a: number, b: number): number => a - b

/** Quantile of values in ascending order, by the nearest rank. @throws {RangeError} without values. */
export function quantileOf(sorted: readonly number[], p: number): number {
  const value = sorted[Math.min(sorted.length - 1, Math.floor(p * sorted.length))]
  if (value === undefined) throw new RangeError('a quantile needs a value')
  return value
}
