import { airDamp } from '../detect/air-damp.ts'
import { airDry } from '../detect/air-dry.ts'
import { airVeryDry } from '../detect/air-very-dry.ts'
import { bottleFull } from '../detect/bottle-full.ts'
import { bottleLosingWeight } from '../detect/bottle-losing-weight.ts'
import { bottleMissing } from '../detect/bottle-missing.ts'
import { bottleNear } from '../detect/bottle-near.ts'
import type { Detector } from '../detect/detector.ts'
import { headDrying } from '../detect/head-drying.ts'
import { idleTooLong } from '../detect/idle-too-long.ts'
import { leftOff } from '../detect/left-off.ts'
import { mainsLost } from '../detect/mains-lost.ts'
import { notCleaning } from '../detect/not-cleaning.ts'
import { offItsCap } from '../detect/off-its-cap.ts'
import { powerFlickering } from '../detect/power-flickering.ts'
import { powerLost } from '../detect/power-lost.ts'
import { roomCold } from '../detect/room-cold.ts'
import { roomWarm } from '../detect/room-warm.ts'
import { sensorImplausible } from '../detect/sensor-implausible.ts'
import { sensorOutOfStep } from '../detect/sensor-out-of-step.ts'
import { sensorStuck } from '../detect/sensor-stuck.ts'
import { stoppedOnError } from '../detect/stopped-on-error.ts'
import { wasteNotArriving } from '../detect/waste-not-arriving.ts'
import { bottleWillFill } from '../forecast/bottle-will-fill.ts'
import { headWillDry } from '../forecast/head-will-dry.ts'
import { withNight } from '../forecast/with-night.ts'
import type { MachineQuarter } from '../model/quarter.ts'
import type { Subject } from '../model/subject.ts'
import { drainedBottleTracker, type DrainedBottleFacts } from '../track/draining-machines.ts'
import { machineQuarter } from '../track/machine-quarter.ts'
import { machineTracker } from '../track/machine.ts'
import { keepAirBound, roomTracker } from '../track/room.ts'
import { siteTracker } from '../track/site.ts'
import { keepBound } from '../track/latest.ts'
import type { SubjectContext, TrackedFacts, Tracker } from '../track/tracker.ts'
import { trusted } from '../track/trusted.ts'

/** How one kind of subject is judged: what is known of it, and every condition that is decided from that. */
export interface Judgement {
  readonly tracker: Tracker<TrackedFacts>
  readonly detectors: readonly Detector<unknown, TrackedFacts>[]
  /** What of it is noted at every quarter of an hour; null where nothing is. */
  readonly quarterOf: ((facts: TrackedFacts, endMs: number, context: SubjectContext) => MachineQuarter) | null
}

/** To add a condition, write its file in `detect/` (or `forecast/`) and name it here. */
const JUDGEMENTS: Partial<Record<Subject['kind'], Judgement>> = {
  site: judgement(siteTracker, [mainsLost]),
  room: judgement(trusted(roomTracker, keepAirBound), [
    airDry,
    airVeryDry,
    airDamp,
    roomCold,
    roomWarm,
    sensorStuck,
    sensorImplausible,
    sensorOutOfStep,
  ]),
  machine: judgement(
    trusted(withNight(machineTracker), keepAirBound),
    [
      powerLost,
      leftOff,
      powerFlickering,
      offItsCap,
      notCleaning,
      stoppedOnError,
      headDrying,
      headWillDry,
      idleTooLong,
    ],
    machineQuarter,
  ),
  bottle: judgement(trusted(drainedBottleTracker, forgetUnbelieved), [
    bottleNear,
    bottleFull,
    bottleWillFill,
    bottleMissing,
    bottleLosingWeight,
    wasteNotArriving,
    sensorStuck,
    sensorImplausible,
  ]),
}

/** A scale that is not believed stands for nothing, and its last value no longer either. */
function forgetUnbelieved({ latest }: DrainedBottleFacts, context: SubjectContext): void {
  keepBound(latest, context)
}

const NONE = judgement<TrackedFacts, []>(
  {
    initial: () => ({ atMs: null }),
    onReading: () => undefined,
    onOrder: () => undefined,
    deadlineMs: () => Infinity,
    onDeadline: () => undefined,
  },
  [],
)

export function judgementOf(kind: Subject['kind']): Judgement {
  return JUDGEMENTS[kind] ?? NONE
}

/** Facts and states are kept together and never mixed, so their types are forgotten here, and only here. */
function judgement<Facts extends TrackedFacts, States extends readonly unknown[]>(
  tracker: Tracker<Facts>,
  detectors: { readonly [At in keyof States]: Detector<States[At], Facts> },
  quarterOf: ((facts: Facts, endMs: number, context: SubjectContext) => MachineQuarter) | null = null,
): Judgement {
  return { tracker, detectors, quarterOf } as unknown as Judgement
}
