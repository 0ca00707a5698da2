import { EXPOSURES } from '../model/night-exposure.ts'
import type { Series } from './nights.ts'

/**
 * A number that stands for these nights and their outcomes: the same give the same, so that a page that is computed
 * again shows the same p-values (FNV-1a, 32 bits: from memory).
 */
export function fingerprint(all: readonly Series[]): number {
  let hash = 0x811c9dc5
  const add = (bits: number): void => {
    hash = Math.imul(hash ^ (bits & 0xffff), 0x01000193)
    hash = Math.imul(hash ^ (bits >>> 16), 0x01000193)
  }
  for (const series of all) {
    for (const char of series.channelGroupId) add(char.codePointAt(0) ?? 0)
    series.days.forEach(add)
    series.outcomes.forEach(add)
    series.actedUpon.forEach(add)
    // Thousandths are all that is kept of an exposure.
    for (const e of EXPOSURES)
      for (const v of series.exposures[e]) add(Number.isNaN(v) ? -1 : Math.round(v * 1000))
  }
  return hash >>> 0
}
