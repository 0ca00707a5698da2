import type { Episode } from '../model/episode.ts'
import type { ActOrder, Reading } from '../model/input.ts'
import type { Subject } from '../model/subject.ts'
import type { TrackedFacts } from '../track/tracker.ts'
import { judgementOf } from './judgements.ts'

/** Sorts after every sensor id: what comes at the same instant after a deadline fired there is late. */
export const AFTER_ALL_SENSORS = '\uffff'

/** What a subject takes in its own time, beside changes of settings and of what was learned. */
export type SubjectEvent = Reading | ActOrder

/** One subject's state in event time. Plain data: what JSON keeps is all there is. */
export interface SubjectState {
  /** When it came under watch. What was measured before is stored, not judged: nobody had said what it means. */
  sinceMs: number
  /** Event time and sensor of the last thing applied. What comes before it is late. */
  throughMs: number
  throughSensor: string
  nextSnapshotMs: number
  /** The end of the quarter of an hour that is noted next. */
  nextQuarterMs: number
  facts: TrackedFacts
  /** State of each condition by `{condition}|{key of the part}`. */
  watches: Record<string, unknown>
  /** Open episodes by the same keys. */
  open: Record<string, Episode>
  window: LateWindow
}

/**
 * The last minutes of a subject that hears things late now and then, as it does where several nodes send at their own
 * pace: with it the subject is rebuilt from what it holds itself, without the book of record.
 */
export interface LateWindow {
  /** Event time of the last late thing; null where none came yet. Without one in the last hour nothing is kept. */
  lateMs: number | null
  /** So many things were applied since the window began. */
  events: number
  /** States of a few moments, oldest first. */
  checkpoints: Checkpoint[]
  /** All that was applied after the oldest of them. */
  tail: SubjectEvent[]
  /** Episodes that were open then or have opened since, as they stand on record. */
  episodes: Episode[]
}

export interface Checkpoint {
  readonly throughMs: number
  /** What `events` of the window was then. */
  readonly events: number
  /** As `coreToJson` gives it. */
  readonly coreJson: string
}

export function emptyWindow(lateMs: number | null): LateWindow {
  return { lateMs, events: 0, checkpoints: [], tail: [], episodes: [] }
}

export function initialSubject(kind: Subject['kind'], sinceMs: number): SubjectState {
  return {
    sinceMs,
    throughMs: -Infinity,
    throughSensor: '',
    nextSnapshotMs: -Infinity,
    nextQuarterMs: -Infinity,
    facts: judgementOf(kind).tracker.initial(),
    watches: {},
    open: {},
    window: emptyWindow(null),
  }
}

/** Without the window, which belongs to the present alone. JSON writes -Infinity, the beginning of time, as null. */
export function coreToJson(state: SubjectState): string {
  return JSON.stringify({ ...state, window: undefined })
}

export function subjectToJson(state: SubjectState): string {
  return JSON.stringify(state)
}

export function subjectFromJson(json: string, window?: LateWindow): SubjectState {
  const state = JSON.parse(json) as KeptState
  return {
    ...state,
    throughMs: state.throughMs ?? -Infinity,
    nextSnapshotMs: state.nextSnapshotMs ?? -Infinity,
    nextQuarterMs: state.nextQuarterMs ?? -Infinity,
    window: window ?? state.window ?? emptyWindow(null),
  }
}

/** JSON gave null for the beginning of time. */
type KeptState = Omit<SubjectState, 'window' | 'throughMs' | 'nextSnapshotMs' | 'nextQuarterMs'> & {
  throughMs: number | null
  nextSnapshotMs: number | null
  nextQuarterMs: number | null
  window?: LateWindow
}
