import type { MachineNow, ShopNow } from '../../sensors/simulator/shop-now.ts'
import { INKS } from '../../services/core/model/settings.ts'
import type { MachineTruthParts, Watching } from './machine-truth.ts'
import type { Level } from './span-recorder.ts'

/** Within these shares of the limit the dose is near it: sensors, and when exactly ink was wetted, leave so much open. */
const SURELY_BEYOND = 1.2
const SURELY_BELOW = 0.8

/** The true dose of an ink, whether or not anybody could know, passed its limit. */
export interface Crossing {
  readonly groupId: string
  readonly machineId: string
  readonly atMs: number
}

/**
 * The true drying dose of a machine's inks by the product's own definition, from true air, true power and true wettings:
 * at least what the sensors could be certain of, and at most what had to be feared.
 */
export function createDoseTruth(
  w: Watching,
  { plan, faults, recorder, learnedMs, crossings }: MachineTruthParts,
) {
  const { doseKpaH: limitKpaH, exposureFactor } = plan.settings.limits
  const { id, roomId } = w.machine
  let lastMs: number | null = null
  let certainKpaH = 0
  let fearedKpaH = 0
  let trueKpaH = 0

  return (now: ShopNow, m: MachineNow, uncapped: 'known' | 'maybe' | 'no'): void => {
    const { atMs } = now
    const hours = lastMs === null ? 0 : (atMs - lastMs) / 3_600_000
    lastMs = atMs
    const deficitKpa = now.rooms.get(roomId)?.vapourPressureDeficitKpa ?? 0
    const factor = (off: boolean): number => (off ? exposureFactor.uncapped : exposureFactor.capped)
    const off = m.state === 'off'
    const wetted = m.wetted && !off
    const sees = w.seesCleanings && atMs >= learnedMs
    const beforeKpaH = trueKpaH
    const truly = !m.capped && (off || m.state === 'standby')
    trueKpaH = wetted ? 0 : trueKpaH + hours * deficitKpa * factor(truly)
    certainKpaH =
      wetted || (!sees && !off) ? 0 : certainKpaH + hours * deficitKpa * factor(uncapped === 'known')
    fearedKpaH = wetted ? 0 : fearedKpaH + hours * deficitKpa * factor(uncapped !== 'no')
    for (const ink of INKS) {
      if (beforeKpaH < limitKpaH[ink] && trueKpaH >= limitKpaH[ink]) {
        crossings.push({ groupId: `${id}-${ink}`, machineId: id, atMs })
      }
      const certain = certainKpaH > SURELY_BEYOND * limitKpaH[ink]
      const level: Level = certain ? 2 : fearedKpaH > SURELY_BELOW * limitKpaH[ink] ? 1 : 0
      const blind =
        faults.blind(w.sensorIds, atMs) || faults.blind(w.airIds, atMs) || faults.lying(w.airIds, atMs)
      const time = { atMs, delayMs: 0, slackMs: 2 * w.everyMs }
      recorder.note(
        { condition: 'headDrying', subject: `channelGroup:${id}-${ink}` },
        level === 2 && blind ? 1 : level,
        time,
      )
    }
  }
}
