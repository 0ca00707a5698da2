import type { Order, Reading } from '../model/input.ts'
import type { LearnedValues } from '../model/learned.ts'
import type { OpeningCalendar } from '../model/opening-hours.ts'
import type { SensorBinding, Settings } from '../model/settings.ts'
import type { Subject } from '../model/subject.ts'

/** A sensor as its subject hears it. */
export type HeardBinding = SensorBinding & {
  /** How long a reading stands for the time after it: the time after which its sensor counts as silent. */
  readonly validForMs: number
}

/** What a subject is told of its surroundings; it changes only with settings and learned values. */
export interface SubjectContext {
  readonly subject: Subject
  readonly settings: Settings
  readonly calendar: OpeningCalendar
  readonly learned: LearnedValues
  /**
   * Sensors that this subject hears, by id: those bound to it, and those of what it stands in or serves (a machine
   * hears its room's air, a bottle the meters of its machines).
   */
  readonly sensors: ReadonlyMap<string, HeardBinding>
}

/** Why facts changed. `deadline`: time passed, and something became certain by that alone. */
export type Cause =
  | { readonly type: 'reading'; readonly reading: Reading }
  | { readonly type: 'order'; readonly order: Order }
  | { readonly type: 'deadline' }

/**
 * What is known of a subject, folded from all it hears: the second block of ISO 13374, manipulation. Facts are changed
 * in place, are plain data and must survive JSON as they are (no NaN, Infinity, undefined, Map, Date). Readings,
 * orders and deadlines come in order of time; before each, the deadlines that lie strictly before it were fired, and
 * `facts` must depend on nothing but that order: never on how often the clock was looked at.
 */
export interface Tracker<Facts extends TrackedFacts> {
  readonly initial: () => Facts
  readonly onReading: (facts: Facts, reading: Reading, context: SubjectContext) => void
  /** Settings and learned values are already those of `context`. */
  readonly onOrder: (facts: Facts, order: Order, context: SubjectContext) => void
  /** When facts change by time alone, or Infinity. */
  readonly deadlineMs: (facts: Facts, context: SubjectContext) => number
  /** The deadline of `deadlineMs` has come: it must move on. */
  readonly onDeadline: (facts: Facts, atMs: number, context: SubjectContext) => void
}

export interface TrackedFacts {
  /** When something was last applied; null before the first. */
  atMs: number | null
}
