import { doseKpaH, integralAt } from './drying.ts'
import type { MachineFacts } from './machine.ts'

/**
 * Dose of an ink in kPa h as far as it is certain, or null while the ink may have been wetted without anybody seeing
 * it.
 *
 * FRESH-1 a machine whose cleanings are seen, or that is off, or that is known not to clean and stands in a closed
 *         shop, has a certain dose: nothing can have wetted its ink unseen.
 * FRESH-2 of any other the freshness is assumed, or not known: no condition and no forecast rests on it.
 * FRESH-3 where unseen wetting was possible and no longer is (the power fell, the shop closed), the dose since then is
 *         certain, as the least that can have gathered.
 */
export function certainDoseKpaH(facts: MachineFacts, groupId: string, atMs: number): number | null {
  const { drying, unseenWetting } = facts
  if (unseenWetting.possible) return null
  const sinceKpaH = integralAt(drying, atMs) - unseenWetting.endedKpaH
  return Math.max(0, Math.min(sinceKpaH, doseKpaH(drying, groupId, atMs)))
}
