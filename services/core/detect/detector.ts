import type { Condition } from '../model/episode.ts'
import type { Quantity } from '../model/quantity.ts'
import type { Subject } from '../model/subject.ts'
import type { Cause, SubjectContext, TrackedFacts } from '../track/tracker.ts'

/**
 * The change of a condition, dated twice: when it began or ended, and when that was sure. What is found to have opened
 * while it was open has grown to its next level: the milder episode ends at `openedMs`, and the graver begins.
 */
export type Finding =
  | {
      readonly type: 'opened'
      readonly fromMs: number
      readonly openedMs: number
      readonly value: number
      readonly worst: number
    }
  | { readonly type: 'closed'; readonly toMs: number; readonly closedMs: number; readonly worst: number }

/** Where one condition is judged, and with what. `part` is the subject itself, or a part of it (a channel group, a sensor). */
export interface Situation<Facts> {
  readonly facts: Facts
  readonly part: Subject
  readonly context: SubjectContext
}

/**
 * A condition as a state machine over what is known of a subject, in event time. `state` is changed in place and must
 * survive JSON; a detector keeps nothing else.
 */
export interface Detector<State, Facts extends TrackedFacts> {
  readonly condition: Condition
  /** Readings of other quantities do not reach it; orders and deadlines of the tracker always do. */
  readonly hears: readonly Quantity[]
  /** The parts that are judged each by itself; without it, the subject as a whole. */
  readonly partsOf?: (context: SubjectContext) => readonly Subject[]
  readonly initial: () => State
  /** The facts changed at `facts.atMs`. */
  readonly onFacts: (state: State, situation: Situation<Facts>, cause: Cause) => Finding | null
  /** When the detector wants to be woken, or Infinity. */
  readonly deadlineMs: (state: State, situation: Situation<Facts>) => number
  /** Its deadline has come; `atMs` is that deadline, or later when new settings put it into the past. */
  readonly onDeadline: (state: State, situation: Situation<Facts>, atMs: number) => Finding | null
}
