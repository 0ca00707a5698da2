import { openingCalendar } from '../../services/core/model/opening-hours.ts'
import { createChance } from './chance.ts'
import { createIncidents, type Incident } from './incident.ts'
import { drawPowerIncidents } from './mains.ts'
import { createSampling, type NodeSamples } from './sampling.ts'
import { drawRoomAndSensorIncidents } from './sensor-faults.ts'
import type { ShopNow } from './shop-now.ts'
import type { ShopPlan } from './plan-kinds.ts'
import { createShopParts, noteTruth } from './shop-parts.ts'
import { createTruth, type TrueEvent } from './truth.ts'

/** What a hand may do in the simulated shop, from the moment the shop has reached. */
export type ShopCommand =
  | { readonly kind: 'emptyBottle'; readonly bottleId: string }
  | { readonly kind: 'cutPower'; readonly machineId: string }
  | { readonly kind: 'restorePower'; readonly machineId: string }
  | { readonly kind: 'refillHumidifier'; readonly roomId: string }

export interface SimulatedShop {
  /**
   * Lives on to the last whole cadence at or before `toMs` (a time already passed does nothing). Each sensor is
   * read once a cadence, though never faster than its plan says. Strides do not matter: one call or many give the same.
   */
  readonly advanceTo: (toMs: number, options?: { readonly cadenceMs?: number }) => void
  /** What sensors measured since the last call, by node, in order of time. */
  readonly takeSamples: () => readonly NodeSamples[]
  readonly truth: () => readonly TrueEvent[]
  readonly look: () => ShopNow
  readonly act: (command: ShopCommand) => void
}

const LIVE_CADENCE_MS = 10_000
const LONGEST_CADENCE_MS = 120_000
const EMPTYING_MS = 5 * 60_000

/**
 * A print shop that exists only in numbers: rooms, machines, bottles, mains and the sensors that watch them.
 * The same seed, plan, start and commands give the same shop to the last digit; there is no other chance in it.
 *
 * @throws {RangeError} if `seed` is no whole number from 0 to 2^32 - 1, or a cadence is not 1 s to 120 s.
 */
export function createSimulatedShop(options: {
  readonly seed: number
  readonly plan: ShopPlan
  readonly startMs: number
  readonly incidents?: readonly Incident[]
}): SimulatedShop {
  const { plan, startMs } = options
  const chance = createChance(options.seed)
  const calendar = openingCalendar(plan.settings)
  const power = drawPowerIncidents(plan, chance, calendar)
  const roomsAndSensors = drawRoomAndSensorIncidents(plan, chance)
  const drawDay = (dayMs: number): Incident[] => [...power(dayMs), ...roomsAndSensors(dayMs)]
  const incidents = createIncidents({ told: options.incidents ?? [], drawDay, startMs })
  const truth = createTruth()
  const parts = createShopParts({ plan, chance, calendar, incidents, startMs })
  const sampling = createSampling({ plan, chance, incidents, truth, startMs })
  let now = parts.look(startMs)
  let openBefore = calendar.isOpenAt(startMs)

  const step = (atMs: number): void => {
    const open = calendar.isOpenAt(atMs)
    const mains = !incidents.at('mainsFailure', plan.settings.site.id, atMs)
    parts.step({ fromMs: now.atMs, toMs: atMs }, { open, mains })
    now = parts.look(atMs)
    noteTruth(truth, plan, now, { mains, opening: open && !openBefore })
    sampling.measure(now, { open, mains })
    openBefore = open
  }

  return {
    advanceTo: (toMs, { cadenceMs = LIVE_CADENCE_MS } = {}) => {
      if (!(cadenceMs >= 1000 && cadenceMs <= LONGEST_CADENCE_MS)) {
        throw new RangeError(`cadenceMs must be 1000 to ${LONGEST_CADENCE_MS} ms, got ${cadenceMs}`)
      }
      const next = (): number => (Math.floor(now.atMs / cadenceMs) + 1) * cadenceMs
      for (let atMs = next(); atMs <= toMs; atMs = next()) step(atMs)
    },
    takeSamples: sampling.take,
    truth: truth.events,
    look: () => now,
    act: (command) => {
      const { atMs } = now
      switch (command.kind) {
        case 'emptyBottle':
          return incidents.add({
            kind: 'bottleEmptied',
            subjectId: command.bottleId,
            fromMs: atMs,
            toMs: atMs + EMPTYING_MS,
          })
        case 'cutPower':
          return incidents.add({
            kind: 'powerCut',
            subjectId: command.machineId,
            fromMs: atMs,
            toMs: Infinity,
          })
        case 'restorePower':
          return incidents.end('powerCut', command.machineId, atMs)
        case 'refillHumidifier':
          incidents.end('dryAir', command.roomId, atMs)
          return parts.refill(command.roomId)
      }
    },
  }
}
