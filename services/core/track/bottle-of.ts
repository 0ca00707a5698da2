import type { Bottle } from '../model/settings.ts'
import { scaleErrorG } from '../physics/load-cell.ts'
import type { SubjectContext } from './tracker.ts'

/** What the settings say of the bottle, worked out once for each context. */
export interface BottleRule {
  readonly bottle: Bottle
  /** Below this the scale carries no bottle. */
  readonly liftedBelowKg: number
  /** Samples within this of each other are a scale at rest. */
  readonly restWithinKg: number
  /** An empty bottle that weighs this much less than the tare is another one. */
  readonly otherBelowKg: number
}

const LIFTED_MARGIN_KG = 0.05
/** More than a bottle that runs over can weigh is a hand, something put on it, or a scale at its rail. Starting values. */
const RUN_OVER_SHARE = 1.25
const SPARE_KG = 0.25
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
    restWithinKg: Math.max(LEAST_REST_KG, 2 * errorKg),
    otherBelowKg: tareKg - Math.max(LEAST_OTHER_KG, 4 * errorKg),
  }
}
