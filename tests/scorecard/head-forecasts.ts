import type { ShopNow } from '../../sensors/simulator/shop-now.ts'
import { machineNight } from '../../services/core/forecast/machine-night.ts'
import type { OpeningCalendar } from '../../services/core/model/opening-hours.ts'
import { subjectKey } from '../../services/core/model/subject.ts'
import type { MachineFacts } from '../../services/core/track/machine.ts'
import type { Crossing } from './dose-truth.ts'
import type { ShopStory } from './live-shop.ts'
import type { WatchedKernel } from './watched-kernel.ts'

const HOUR = 3_600_000
const MADE_EVERY = HOUR / 4
/** What was first said of an ink in a dark night, held against what came. */
export interface DryForecast {
  readonly groupId: string
  readonly madeMs: number
  readonly probability: number
  /** From the forecast to when the dose truly passed its limit; null: it did not, though the power stayed off. */
  readonly leadMs: number | null
  /** Forecast less truth; null where none was said. */
  readonly errorMs: number | null
  readonly covered: boolean
}

interface Open {
  readonly machineId: string
  readonly madeMs: number
  readonly toMs: number
  readonly probability: number
  readonly earliestMs: number | null
  readonly likelyMs: number | null
  readonly latestMs: number | null
}

/** Asks for each ink of a machine that is truly off in a closed shop, once, a quarter of an hour into it or later. */
export function watchHeads({ plan, scoredMs }: ShopStory, kernel: WatchedKernel, calendar: OpeningCalendar) {
  const scored: DryForecast[] = []
  const open = new Map<string, Open>()
  const done = new Set<string>()
  /** Truly dry already: nothing is left to be foretold. */
  const passed = new Set<string>()
  const offSince = new Map<string, number>()
  let crossed = 0

  const ask = (machineId: string, atMs: number): void => {
    const key = subjectKey({ kind: 'machine', id: machineId })
    const state = kernel.state()
    const context = state.plan.contexts.get(key)
    const facts = state.subjects.get(key)?.facts as MachineFacts | undefined
    if (!context || facts?.power.state !== 'off') return
    const night = machineNight(facts, context, atMs)
    if (night?.room.basis !== 'paths') return
    for (const { groupId, certain, dose } of night.inks) {
      if (!certain || dose.probability === 1 || done.has(groupId) || passed.has(groupId)) continue
      done.add(groupId)
      const { probability, passesLimit } = dose
      open.set(groupId, { machineId, madeMs: atMs, toMs: night.toMs, probability, ...passesLimit })
    }
  }
  const settle = (groupId: string, o: Open, crossedMs: number | null): void => {
    open.delete(groupId)
    const leadMs = crossedMs === null ? null : crossedMs - o.madeMs
    const { madeMs, probability, earliestMs, likelyMs, latestMs } = o
    const errorMs = crossedMs === null || likelyMs === null ? null : likelyMs - crossedMs
    const covered =
      crossedMs !== null && (earliestMs ?? Infinity) <= crossedMs && crossedMs <= (latestMs ?? Infinity)
    scored.push({ groupId, madeMs, probability, leadMs, errorMs, covered })
  }
  /** The night is over for this machine: what was said of it can no longer come true. */
  const powerCame = (machineId: string): void => {
    for (const [groupId, o] of open) if (o.machineId === machineId) open.delete(groupId)
    for (const known of [done, passed]) {
      for (const groupId of known) if (groupId.startsWith(`${machineId}-`)) known.delete(groupId)
    }
  }

  return {
    look: (now: ShopNow, crossings: readonly Crossing[]): void => {
      const { atMs } = now
      if (atMs < scoredMs) {
        crossed = crossings.length
        return
      }
      for (; crossed < crossings.length; crossed++) {
        const crossing = crossings[crossed]
        const made = crossing && open.get(crossing.groupId)
        if (crossing) passed.add(crossing.groupId)
        if (crossing && made) settle(crossing.groupId, made, crossing.atMs)
      }
      for (const { id } of plan.machines) {
        const off = now.machines.get(id)?.state === 'off'
        if (!off) {
          if (offSince.delete(id)) powerCame(id)
          continue
        }
        const sinceMs = offSince.get(id) ?? atMs
        offSince.set(id, sinceMs)
        if (atMs % MADE_EVERY === 0 && atMs - sinceMs >= HOUR / 3 && !calendar.isOpenAt(atMs)) ask(id, atMs)
      }
      for (const [groupId, o] of open) if (atMs >= o.toMs) settle(groupId, o, null)
    },
    scored: (): readonly DryForecast[] => scored,
  }
}
