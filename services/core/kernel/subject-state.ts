import type { Episode } from '../model/episode.ts'
import type { Subject } from '../model/subject.ts'
import { detectorsOf } from './detectors.ts'

/** Sorts after every sensor id: what comes at the same instant after a deadline fired there is late. */
export const AFTER_ALL_SENSORS = '\uffff'

/** One subject's state in event time. Plain data: what JSON keeps is all there is. */
export interface SubjectState {
  /** When it came under watch. What was measured before is stored, not judged: nobody had said what it means. */
  sinceMs: number
  /** Event time and sensor of the last thing applied. What comes before it is late. */
  throughMs: number
  throughSensor: string
  nextSnapshotMs: number
  /** One state a detector, in the order of `detectorsOf`. */
  detectors: unknown[]
  /** The open episode of each detector, or null. */
  open: (Episode | null)[]
}

export function initialSubject(kind: Subject['kind'], sinceMs: number): SubjectState {
  const detectors = detectorsOf(kind)
  return {
    sinceMs,
    throughMs: -Infinity,
    throughSensor: '',
    nextSnapshotMs: -Infinity,
    detectors: detectors.map((d) => d.initial()),
    open: detectors.map(() => null),
  }
}

/** -Infinity does not survive JSON, so the beginning of time is written as null. */
export function subjectToJson(state: SubjectState): string {
  return JSON.stringify(state, (_key, value: unknown) => (value === -Infinity ? null : value))
}

export function subjectFromJson(json: string): SubjectState {
  const state = JSON.parse(json) as Omit<SubjectState, 'throughMs' | 'nextSnapshotMs'> & {
    throughMs: number | null
    nextSnapshotMs: number | null
  }
  return {
    ...state,
    throughMs: state.throughMs ?? -Infinity,
    nextSnapshotMs: state.nextSnapshotMs ?? -Infinity,
  }
}
