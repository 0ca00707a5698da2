import type { Bottle } from '../model/settings.ts'
import { scaleErrorG } from '../physics/load-cell.ts'
import type { SubjectContext } from './tracker.ts'

/** What the settings say of the bottle, worked out once for each context. */
export interface BottleRule {
  readonly bottle: Bottle
  /** Below this the scale carries no bottle. */
  readonly liftedBelowKg: number
  /** A reading in between these is no empty scale, though it is below what stands for lifted; null: nobody can tell. */
  readonly pulled: { readonly withinKg: number; readonly notWithinOfZeroKg: number } | null
  /** Samples within this of each other are a scale at rest. */
  readonly restWithinKg: number
  /** An empty bottle that weighs this much less than the tare is another one. */
  readonly otherBelowKg: number
}

const LIFTED_MARGIN_KG = 0.05
/** A tube that pulls at a bottle carries no more than this. Starting value. */
const PULLED_KG = 0.12
/** An empty scale that was zeroed reads zero within this: drift, and what the tare is off. Starting value. */
const ZERO_WITHIN_KG = 0.025
/** A tare of more than this for each litre is not of the bottle alone: something else stands on the scale. Starting value. */
const BOTTLE_ALONE_KG_PER_L = 0.2
/** More than a bottle that runs over can weigh is a hand, something put on it, or a scale at its rail. Starting values. */
const RUN_OVER_SHARE = 1.25
const SPARE_KG = 0.25
/** No empty waste bottle of a small shop weighs more. Starting value. */
const HEAVIEST_EMPTY_KG = 1
/** A tare below twice the margin is a thin bottle; one at or below zero is a scale that was zeroed with the bottle on it. */
const LEAST_LIFTED_MARGIN_KG = 0.015
/** Vibration of a printing machine stays below (starting value). */
const LEAST_REST_KG = 0.004
const LEAST_OTHER_KG = 0.005

const rules = new WeakMap<SubjectContext, BottleRule | null>()

/** null for a bottle that the settings no longer have. */
export function bottleRuleOf(context: SubjectContext): BottleRule | null {
  let rule = rules.get(context)
  if (rule === undefined) rules.set(context, (rule = createRule(context)))
  return rule
}

/** The least, in kg, that a scale can rightly read here: a bottle of this weight was taken off that it was zeroed with. */
export function lightestKg({ tareKg }: Bottle): number {
  return Math.min(0, tareKg) - HEAVIEST_EMPTY_KG
}

/** The most, in kg, that a scale can rightly read under this bottle. */
export function heaviestKg({ tareKg, capacityMl, densityKgPerL }: Bottle): number {
  return tareKg + (capacityMl / 1000) * densityKgPerL * RUN_OVER_SHARE + SPARE_KG
}

function createRule({ settings, subject }: SubjectContext): BottleRule | null {
  const bottle = settings.bottles.find((b) => b.id === subject.id)
  return bottle ? ruleOfBottle(bottle) : null
}

export function ruleOfBottle(bottle: Bottle): BottleRule {
  const { tareKg } = bottle
  const marginKg =
    tareKg > 0 ? Math.max(LEAST_LIFTED_MARGIN_KG, Math.min(LIFTED_MARGIN_KG, tareKg / 2)) : LIFTED_MARGIN_KG
  const errorKg = scaleErrorG(bottle) / 1000
  return {
    bottle,
    liftedBelowKg: tareKg - marginKg,
    pulled: isBottleAlone(bottle) ? { withinKg: PULLED_KG, notWithinOfZeroKg: ZERO_WITHIN_KG } : null,
    restWithinKg: Math.max(LEAST_REST_KG, 2 * errorKg),
    otherBelowKg: tareKg - Math.max(LEAST_OTHER_KG, 4 * errorKg),
  }
}

function isBottleAlone({ tareKg, capacityMl }: Bottle): boolean {
  return tareKg > 0 && tareKg <= (BOTTLE_ALONE_KG_PER_L * capacityMl) / 1000
}
