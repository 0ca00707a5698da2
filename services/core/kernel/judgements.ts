import { airDamp } from '../detect/air-damp.ts'
import { airDry } from '../detect/air-dry.ts'
import { airVeryDry } from '../detect/air-very-dry.ts'
import type { Detector } from '../detect/detector.ts'
import { roomCold } from '../detect/room-cold.ts'
import { roomWarm } from '../detect/room-warm.ts'
import type { Subject } from '../model/subject.ts'
import { roomTracker } from '../track/room.ts'
import type { TrackedFacts, Tracker } from '../track/tracker.ts'

/** How one kind of subject is judged: what is known of it, and every condition that is decided from that. */
export interface Judgement {
  readonly tracker: Tracker<TrackedFacts>
  readonly detectors: readonly Detector<unknown, TrackedFacts>[]
}

/** To add a condition, write its file in `detect/` (or `forecast/`) and name it here. */
const JUDGEMENTS: Partial<Record<Subject['kind'], Judgement>> = {
  room: judgement(roomTracker, [airDry, airVeryDry, airDamp, roomCold, roomWarm]),
}

const NONE = judgement<TrackedFacts>(
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

/** Facts and states are kept together and never mixed, so their types may be forgotten here, and only here. */
function judgement<Facts extends TrackedFacts>(
  tracker: Tracker<Facts>,
  detectors: readonly Detector<never, Facts>[],
): Judgement {
  return { tracker, detectors } as unknown as Judgement
}
