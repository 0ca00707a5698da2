import type { Span } from '../../services/core/model/opening-hours.ts'
import type { Chance } from './chance.ts'
import type { Incidents } from './incident.ts'
import type { BottlePlan } from './plan-kinds.ts'

export interface SimulatedBottle {
  readonly step: (
    span: Span,
    around: { wasteMl: number; open: boolean; vapourPressureDeficitKpa: number },
  ) => void
  readonly contentsKg: () => number
  readonly fillPct: () => number
  readonly lifted: () => boolean
  /** What the bottle that now stands there weighs more, empty, than the one of the plan. */
  readonly extraTareKg: () => number
  /** What evaporated since the beginning. */
  readonly evaporatedKg: () => number
}

const MINUTE = 60_000
/** Through the neck of an open bottle, kg an hour and kPa: about 4 g a day; a starting value. */
const EVAPORATED_KG_PER_H_KPA = 0.00013
const SKIN_ON_SLUDGE_KG = 0.03
const FULLEST_PCT = 108

/**
 * A waste bottle: takes what machines purge, loses a little to the air, and is emptied by hand, mostly in time.
 * What runs out while it is lifted off, or above its rim, is lost on the floor.
 */
export function createBottle(plan: BottlePlan, chance: Chance, incidents: Incidents): SimulatedBottle {
  const fullKg = (plan.capacityMl / 1000) * plan.densityKgPerL
  const draws = chance.stream(`hands/${plan.id}`)
  let cycle = 0
  let contentsKg = fullKg * (0.1 + 0.5 * draws.at(0))
  let evaporatedKg = 0
  let lift: Span | null = null
  let lifted = false
  let extraTareKg = 0
  /** What will be true when it is put back. */
  let putBack: 'asItWas' | 'emptied' | { readonly tareKg: number } = 'emptied'

  const fillPct = (): number => (contentsKg / fullKg) * 100
  const emptiedAtPct = (): number => {
    const late = draws.at(cycle * 8 + 1) < 0.2
    return late ? 90 + 9 * draws.at(cycle * 8 + 2) : 80 + 8 * draws.at(cycle * 8 + 2)
  }
  const planLift = (atMs: number, open: boolean): void => {
    if (lift || !open || fillPct() < emptiedAtPct() || incidents.at('bottleLeft', plan.id, atMs)) return
    const fromMs = atMs + (5 + 60 * draws.at(cycle * 8 + 3)) * MINUTE
    lift = { fromMs, toMs: fromMs + (4 + 5 * draws.at(cycle * 8 + 4)) * MINUTE }
  }
  const handle = (atMs: number): void => {
    const wasLifted = lifted
    const replaced = incidents.at('bottleReplaced', plan.id, atMs)
    if (incidents.at('bottleLifted', plan.id, atMs)) putBack = 'asItWas'
    else if (replaced) putBack = { tareKg: replaced.value ?? 0 }
    else if (incidents.at('bottleEmptied', plan.id, atMs)) putBack = 'emptied'
    else if (lift !== null && atMs >= lift.fromMs && atMs < lift.toMs) putBack = 'emptied'
    else {
      lifted = false
      if (wasLifted || (lift && atMs >= lift.toMs)) takeBack()
      return
    }
    lifted = true
  }
  /** Emptied: pigment sludge stays behind. A lift shorter than a step is seen only by its end. */
  const takeBack = (): void => {
    if (putBack !== 'asItWas') {
      contentsKg *= putBack === 'emptied' ? 0.01 + 0.02 * draws.at(cycle * 8 + 5) : 0
      if (putBack !== 'emptied') extraTareKg = putBack.tareKg
      cycle++
    }
    lift = null
    putBack = 'emptied'
  }
  const pour = (span: Span): void => {
    const told = incidents.at('bottleLevel', plan.id, span.toMs)
    if (told?.value !== undefined && told.fromMs > span.fromMs) contentsKg = (fullKg * told.value) / 100
    for (const lump of incidents.begunWithin('lump', plan.id, span)) contentsKg += lump.value ?? 0
    const leakGPerH = incidents.at('leak', plan.id, span.toMs)?.value ?? 0
    contentsKg -= Math.min(contentsKg, (leakGPerH / 1000) * ((span.toMs - span.fromMs) / 3_600_000))
  }

  return {
    step: (span, { wasteMl, open, vapourPressureDeficitKpa }) => {
      planLift(span.toMs, open)
      handle(span.toMs)
      pour(span)
      const hours = (span.toMs - span.fromMs) / 3_600_000
      const share = Math.min(1, contentsKg / SKIN_ON_SLUDGE_KG)
      const lost = lifted
        ? 0
        : Math.min(contentsKg, EVAPORATED_KG_PER_H_KPA * vapourPressureDeficitKpa * hours * share)
      evaporatedKg += lost
      const gained = lifted ? 0 : (wasteMl / 1000) * plan.densityKgPerL
      contentsKg = Math.min(contentsKg - lost + gained, Math.max(contentsKg, (fullKg * FULLEST_PCT) / 100))
    },
    contentsKg: () => contentsKg,
    fillPct,
    lifted: () => lifted,
    extraTareKg: () => extraTareKg,
    evaporatedKg: () => evaporatedKg,
  }
}
