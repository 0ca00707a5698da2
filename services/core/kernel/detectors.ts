import { airDry } from '../detect/air-dry.ts'
import { bottleNear } from '../detect/bottle-near.ts'
import type { Detector } from '../detect/detector.ts'
import { powerLost } from '../detect/power-lost.ts'
import type { Subject } from '../model/subject.ts'

/** Every condition judged in event time. To add one, write its file in `detect/` and name it here. */
const DETECTORS = [airDry, powerLost, bottleNear] as unknown as readonly Detector<unknown>[]

const NONE: readonly Detector<unknown>[] = []
const BY_KIND = new Map<Subject['kind'], readonly Detector<unknown>[]>(
  (['room', 'machine', 'bottle'] as const).map((kind) => [
    kind,
    DETECTORS.filter((d) => d.subjectKind === kind),
  ]),
)

export function detectorsOf(kind: Subject['kind']): readonly Detector<unknown>[] {
  return BY_KIND.get(kind) ?? NONE
}
