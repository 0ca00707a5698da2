import type { Emptied } from '../model/disposal.ts'
import type { KnownFacts } from './tasks/proof.ts'

/** The last emptying that each scale saw, the newest first; volumes by the density that the owner told. */
export function lastEmptyings({ settings, bottle }: KnownFacts): readonly Emptied[] {
  return settings.bottles
    .flatMap(({ id, densityKgPerL }): Emptied[] => {
      const seen = bottle(id)?.facts.lastEmptying
      return seen
        ? [{ bottleId: id, atMs: seen.toMs, volumeMl: Math.round(seen.removedG / densityKgPerL) }]
        : []
    })
    .sort((a, b) => b.atMs - a.atMs || (a.bottleId < b.bottleId ? -1 : 1))
}
