import type { Incident } from '../../sensors/simulator/incident.ts'
import type { ShopPlan } from '../../sensors/simulator/plan-kinds.ts'
import type { ShopNow } from '../../sensors/simulator/shop-now.ts'
import type { OpeningCalendar } from '../../services/core/model/opening-hours.ts'
import { watchBottle } from './bottle-truth.ts'
import type { Crossing } from './dose-truth.ts'
import { createFaults } from './faults.ts'
import { watchingOf, watchMachine, type Said } from './machine-truth.ts'
import { watchRooms } from './room-truth.ts'
import { sensorTruth } from './sensor-truth.ts'
import { createSpanRecorder, type ConditionTruth } from './span-recorder.ts'

export interface ShopTruth {
  /** Looks at the true shop; `said` by machine. */
  readonly look: (now: ShopNow, said: ReadonlyMap<string, Said>) => void
  readonly crossings: readonly Crossing[]
  readonly finish: (atMs: number) => readonly ConditionTruth[]
}

const NOTHING_SAID: Said = { uncapped: false, loggedCleanings: 0 }

/**
 * What truly held in a simulated shop, by the definitions of the product's own limits, each with a grey zone around it.
 * It knows the true air, power, caps, fill and faults, and nothing of what the product found.
 */
export function createShopTruth(options: {
  readonly plan: ShopPlan
  readonly incidents: readonly Incident[]
  readonly calendar: OpeningCalendar
  readonly startMs: number
  readonly learnedMs: number
}): ShopTruth {
  const { plan, incidents, startMs } = options
  const faults = createFaults(plan, incidents)
  const recorder = createSpanRecorder()
  const crossings: Crossing[] = []
  const parts = { ...options, faults, recorder, crossings }
  const rooms = watchRooms(plan, faults, recorder)
  const machines = watchingOf(plan).map((w) => ({ id: w.machine.id, watch: watchMachine(w, parts, startMs) }))
  const bottles = plan.bottles.map((b) => watchBottle(b, parts))
  const site = plan.settings.site.id
  const mains = plan.sensors.filter((s) => s.subjectId === site)
  const failures = incidents.filter((i) => i.kind === 'mainsFailure')

  const lookAtMains = (atMs: number): void => {
    if (mains.length === 0) return
    const failed = failures.some((i) => atMs >= i.fromMs && atMs < i.toMs)
    const time = { atMs, delayMs: plan.settings.limits.powerOff.closedMs, slackMs: 2 * 60_000 }
    recorder.note({ condition: 'mainsLost', subject: `site:${site}` }, failed ? 2 : 0, time)
  }

  return {
    look: (now, said) => {
      rooms(now)
      for (const { id, watch } of machines) watch(now, said.get(id) ?? NOTHING_SAID)
      for (const watch of bottles) watch(now)
      lookAtMains(now.atMs)
    },
    crossings,
    finish: (atMs) => [...recorder.finish(atMs), ...sensorTruth(plan, incidents)],
  }
}
