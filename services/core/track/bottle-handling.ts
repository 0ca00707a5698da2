import { contentsG } from '../physics/bottle-volume.ts'
import type { BottleFacts, SettledLevel } from './bottle-facts.ts'
import type { BottleRule } from './bottle-of.ts'

/** A fall by this share of the contents proves an emptying: sludge stays behind (common practice, no source). */
const EMPTIED_SHARE = 0.8
/** With less than this share of its capacity in it a bottle is as good as empty, and nothing is proven by a fall. */
const LEAST_CONTENTS_SHARE = 0.02
const LEAST_CONTENTS_G = 20
/** A fall that took longer than this in front of a speaking scale ran out, or was poured off: no emptying. */
const LONGEST_FALL_MS = 15 * 60_000
/** Off the scale for a shorter time than this, and back with the same weight, is a knee under the bench. */
export const LEAST_LIFT_MS = 30_000
/** Sludge of less than this is not worth a new tare. Starting value. */
const NEW_TARE_OVER_G = 10

/**
 * The scale came to rest at `massKg`, from `fromMs` on.
 *
 * BOTTLE-5 a fall by 80 % of the contents from one rest to the next is an emptying when the bottle was off the scale, or
 *          nobody saw it fall, or it fell at once; what remained is offered as the new tare when it is over 10 g. What
 *          runs out slowly is none.
 * BOTTLE-6 a bottle that comes back lighter than its tare by more than the scale can err is another one, or was washed:
 *          `replaced`; its weight is offered as the new tare.
 * BOTTLE-7 a bottle that came back from a hand counts as handled, with what was in it or without; a flick of less than
 *          30 s that changed nothing does not.
 */
export function noteSettled(
  facts: BottleFacts,
  { fromMs, atMs, massKg }: { fromMs: number; atMs: number; massKg: number },
  rule: BottleRule,
): void {
  const before = facts.settled
  const { lift } = facts
  if (!before) {
    facts.settled = { atMs, massKg }
    facts.handledMs = fromMs
    facts.lift = null
    return
  }
  const emptied = fellAsEmptied(before.massKg, massKg, rule) && couldBeHands(facts, before.atMs, fromMs)
  if (emptied) noteEmptying(facts, before, { fromMs, massKg }, rule)
  if (emptied || (lift && isHandling(lift, before.massKg, massKg, rule))) facts.handledMs = fromMs
  facts.lift = null
  before.atMs = atMs
  before.massKg = massKg
}

function fellAsEmptied(beforeKg: number, afterKg: number, { bottle }: BottleRule): boolean {
  const capacityG = bottle.capacityMl * bottle.densityKgPerL
  const heldG = contentsG(beforeKg, bottle)
  if (heldG < Math.max(LEAST_CONTENTS_G, LEAST_CONTENTS_SHARE * capacityG)) return false
  return (beforeKg - afterKg) * 1000 >= EMPTIED_SHARE * heldG
}

function couldBeHands({ lift, silentMs }: BottleFacts, beforeMs: number, fromMs: number): boolean {
  return lift !== null || fromMs - beforeMs <= LONGEST_FALL_MS || (silentMs !== null && silentMs >= beforeMs)
}

function isHandling(
  { fromMs, toMs }: { fromMs: number; toMs: number | null },
  beforeKg: number,
  afterKg: number,
  { restWithinKg }: BottleRule,
): boolean {
  return (toMs ?? fromMs) - fromMs >= LEAST_LIFT_MS || Math.abs(afterKg - beforeKg) > restWithinKg
}

function noteEmptying(
  facts: BottleFacts,
  before: SettledLevel,
  { fromMs, massKg }: { fromMs: number; massKg: number },
  { bottle, otherBelowKg }: BottleRule,
): void {
  const heldG = contentsG(before.massKg, bottle)
  const remainedG = contentsG(massKg, bottle)
  const other = massKg < otherBelowKg
  facts.lastEmptying = {
    kind: other ? 'replaced' : 'emptied',
    fromMs: facts.lift?.fromMs ?? before.atMs,
    toMs: facts.lift?.toMs ?? fromMs,
    removedG: other ? heldG : heldG - remainedG,
    remainedG,
  }
  facts.newTareKg = other || remainedG > NEW_TARE_OVER_G ? massKg : null
}
