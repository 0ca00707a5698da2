import { ckmeans } from 'simple-statistics'
import { ascending, quantileOf, type Segment } from './power-segments.ts'

/** A level that comes again and again, as natural logarithms of W: from its 5th to its 95th hundredth. */
export interface Cluster {
  readonly lowLog: number
  readonly highLog: number
  readonly segments: number
}

/** So many levels are looked for first; neighbours without a gap are then made one. */
const MOST_LEVELS = 10
/** Neighbours closer than this (about a tenth of their power) are one level. A starting value. */
const LEAST_GAP = 0.1

/**
 * Levels among the segments: optimal one-dimensional k-means (`ckmeans`) of the logarithms with more clusters than
 * there are levels, and then neighbours made one until gaps part them all. Each segment counts once however long it
 * is: or hours of rest would outweigh the few minutes of a cleaning.
 */
export function clustersOf(segments: readonly Segment[]): Cluster[] {
  const logs = segments.map((s) => s.logW)
  const distinct = new Set(logs).size
  if (distinct === 0) return []
  const parts = ckmeans(logs, Math.min(MOST_LEVELS, distinct)).map((part) => [...part].sort(ascending))
  for (;;) {
    const at = parts.findIndex((part, i) => i > 0 && gapBetween(parts[i - 1], part) < LEAST_GAP)
    if (at < 0) break
    const merged = [...(parts[at - 1] ?? []), ...(parts[at] ?? [])].sort(ascending)
    parts.splice(at - 1, 2, merged)
  }
  return parts.map((part) => ({
    lowLog: quantileOf(part, 0.05),
    highLog: quantileOf(part, 0.95),
    segments: part.length,
  }))
}

function gapBetween(lower: readonly number[] = [], upper: readonly number[]): number {
  return quantileOf(upper, 0.05) - quantileOf(lower, 0.95)
}
