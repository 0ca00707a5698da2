import type { Condition } from '../../../services/core/model/episode.ts'
import type { MachineView } from '../../../services/core/model/views.ts'

export type LaneName = 'air' | 'ink' | 'power' | 'bottle'

/** The lane that shows what a condition is about; those about the watching itself have none. */
const LANES: Readonly<Partial<Record<Condition, LaneName>>> = {
  airDry: 'air',
  airVeryDry: 'air',
  airDamp: 'air',
  headDrying: 'ink',
  headWillDry: 'ink',
  offItsCap: 'ink',
  idleTooLong: 'ink',
  notCleaning: 'power',
  stoppedOnError: 'power',
  powerLost: 'power',
  leftOff: 'power',
  powerFlickering: 'power',
  mainsLost: 'power',
  bottleNear: 'bottle',
  bottleFull: 'bottle',
  bottleWillFill: 'bottle',
  bottleMissing: 'bottle',
  bottleLosingWeight: 'bottle',
  wasteNotArriving: 'bottle',
}

/** How a lane stands: as its machine does when the alarm is about it, and calm otherwise. */
export function laneStanding(
  { alarm, standing }: Pick<MachineView, 'alarm' | 'standing'>,
  lane: LaneName,
): MachineView['standing'] | 'calm' {
  return alarm && LANES[alarm.condition] === lane ? standing : 'calm'
}
