import type { Condition } from '../model/episode.ts'
import type { Reading } from '../model/input.ts'
import type { OpeningCalendar } from '../model/opening-hours.ts'
import type { SensorBinding, Settings } from '../model/settings.ts'
import type { Subject } from '../model/subject.ts'

/** What a detector is told of its surroundings; it changes only with the settings. */
export interface SubjectContext {
  readonly subject: Subject
  readonly settings: Settings
  readonly calendar: OpeningCalendar
  /** Sensors bound to this subject, by id. */
  readonly sensors: ReadonlyMap<string, SensorBinding>
  /** How long a reading stands for the time after it: the time after which its sensor counts as silent. */
  readonly validForMs: number
}

/** The change of a condition, dated twice: when it began or ended, and when that was sure. */
export type Finding =
  | {
      readonly type: 'opened'
      readonly fromMs: number
      readonly openedMs: number
      readonly value: number
      readonly worst: number
    }
  | { readonly type: 'closed'; readonly toMs: number; readonly closedMs: number; readonly worst: number }

/**
 * A condition as a state machine over events in event time. `state` is changed in place and must survive
 * JSON; a detector keeps nothing else. Readings come in order of time; before each, the deadlines that lie
 * before it were fired.
 */
export interface Detector<State> {
  readonly condition: Condition
  readonly subjectKind: Subject['kind']
  readonly initial: () => State
  readonly onReading: (state: State, reading: Reading, context: SubjectContext) => Finding | null
  /** When the detector wants to be woken, or Infinity. */
  readonly deadlineMs: (state: State, context: SubjectContext) => number
  readonly onDeadline: (state: State, atMs: number, context: SubjectContext) => Finding | null
  /** The settings changed at `atMs`: forget sensors that are no longer bound; close what nobody measures any more. */
  readonly onSettings: (state: State, atMs: number, context: SubjectContext) => Finding | null
}
