import type { Incident } from '../../sensors/simulator/incident.ts'
import type { BottlePlan, ShopPlan } from '../../sensors/simulator/plan-kinds.ts'
import type { BottleNow, ShopNow } from '../../sensors/simulator/shop-now.ts'
import type { Condition } from '../../services/core/model/episode.ts'
import type { OpeningCalendar } from '../../services/core/model/opening-hours.ts'
import { createFlowTruth } from './flow-truth.ts'
import type { Faults } from './faults.ts'
import type { Level, SpanRecorder } from './span-recorder.ts'

const MINUTE = 60_000
/** Drift, creep and what the tare is off: nearer to a limit nobody can tell. */
const NEAR_G = 18
/** Something that lies on the scale for longer than this is for the scale part of the bottle. */
const LIES_FOR = 4 * MINUTE

export interface BottleTruthParts {
  readonly plan: ShopPlan
  readonly incidents: readonly Incident[]
  readonly calendar: OpeningCalendar
  readonly faults: Faults
  readonly recorder: SpanRecorder
  readonly learnedMs: number
}

/** True fill, standing, losses and arrivals of one bottle. */
export function watchBottle(plan: BottlePlan, parts: BottleTruthParts) {
  const { settings, sensors } = parts.plan
  const { limits } = settings
  const { calendar, faults, recorder, incidents } = parts
  const { id } = plan
  const subject = `bottle:${id}`
  const scale = sensors.filter((s) => s.subjectId === id)
  const scaleIds = scale.map((s) => s.id)
  const slackMs = 3 * Math.max(...scale.map((s) => s.everyMs)) + MINUTE
  const fullG = plan.capacityMl * plan.densityKgPerL
  const told = settings.bottles.find((b) => b.id === id)
  const tareErrorG = Math.abs((told?.tareKg ?? plan.tareKg) - plan.tareKg) * 1000
  const lying = incidents.filter(
    (i) => i.kind === 'onScale' && i.subjectId === id && i.toMs - i.fromMs > LIES_FOR,
  )
  const lightRails = incidents.filter(
    (i) => i.kind === 'sensorAtRail' && scaleIds.includes(i.subjectId) && (i.value ?? 0) <= 0,
  )
  const flow = createFlowTruth(plan, parts)
  let standing: BottleNow | null = null
  let liftedMs = 0

  const note = (atMs: number, condition: Condition, level: Level, delayMs: number): void => {
    recorder.note({ condition, subject }, faults.seen(level, scaleIds, atMs), { atMs, delayMs, slackMs })
  }
  const noteFill = (bottle: BottleNow, atMs: number): void => {
    if (!bottle.lifted || standing === null) standing = bottle
    const onItKg = lying.find((i) => atMs >= i.fromMs && atMs < i.toMs + 20 * MINUTE)?.value ?? 0
    const nearG = NEAR_G + tareErrorG + Math.abs(standing.extraTareKg + onItKg) * 1000
    const nearPct = (nearG / fullG) * 100
    const levelAt = (limitPct: number): Level => {
      const { fillPct } = standing ?? bottle
      if (fillPct > limitPct + nearPct) return bottle.lifted ? 1 : 2
      return fillPct > limitPct - nearPct ? 1 : 0
    }
    note(atMs, 'bottleNear', levelAt(limits.bottleNearPct.openAbove), limits.bottleNearPct.onDelayMs)
    note(atMs, 'bottleFull', levelAt(limits.bottleFullPct.openAbove), limits.bottleFullPct.onDelayMs)
  }
  const noteStanding = ({ lifted }: BottleNow, atMs: number): void => {
    if (!lifted) liftedMs = atMs
    const { closedMs, openMs } = limits.bottleMissing
    const delayMs = Math.min(openMs, calendar.closedFrom(liftedMs) - liftedMs + closedMs)
    const looksLifted = lightRails.some((i) => atMs >= i.fromMs && atMs < i.toMs + 2 * MINUTE)
    note(atMs, 'bottleMissing', lifted ? 2 : looksLifted ? 1 : 0, delayMs)
  }

  return (now: ShopNow): void => {
    const bottle = now.bottles.get(id)
    if (!bottle) return
    noteFill(bottle, now.atMs)
    noteStanding(bottle, now.atMs)
    flow(now, bottle)
  }
}
