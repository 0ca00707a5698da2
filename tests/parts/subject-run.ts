import type { Detector, Finding } from '../../services/core/detect/detector.ts'
import type { Condition } from '../../services/core/model/episode.ts'
import type { Order, Reading } from '../../services/core/model/input.ts'
import { openingCalendar } from '../../services/core/model/opening-hours.ts'
import { learnedKey, type Learned } from '../../services/core/model/learned.ts'
import type { Settings } from '../../services/core/model/settings.ts'
import type { Subject } from '../../services/core/model/subject.ts'
import type { Cause, SubjectContext, TrackedFacts, Tracker } from '../../services/core/track/tracker.ts'

export type Found = Finding & { readonly condition: Condition }

/** A tracker with its detectors, driven through event time as the kernel drives them: for tests of them alone. */
export interface SubjectRun<Facts> {
  readonly facts: () => Facts
  readonly found: readonly Found[]
  readonly read: (reading: Reading) => void
  readonly order: (order: Order, context?: SubjectContext) => void
  /** Fires what is due at or before `atMs`, as the monitor's clock would. */
  readonly wakeThrough: (atMs: number) => void
  /** Lets something else change the facts at `atMs`. */
  readonly change: (atMs: number, act: (facts: Facts, context: SubjectContext) => void) => void
}

/** A context that hears all sensors bound to the subject; a reading stands for three intervals, at least two minutes. */
export function subjectContext(
  subject: Subject,
  settings: Settings,
  learned: readonly Learned[] = [],
): SubjectContext {
  const own = settings.sensors.filter((s) => s.subject.kind === subject.kind && s.subject.id === subject.id)
  return {
    subject,
    settings,
    calendar: openingCalendar(settings),
    learned: new Map(learned.map((l) => [learnedKey(l), l])),
    sensors: new Map(own.map((s) => [s.id, { ...s, validForMs: Math.max(120_000, 3 * s.intervalMs) }])),
  }
}

interface Watched<Facts extends TrackedFacts> {
  readonly detector: Detector<unknown, Facts>
  state: unknown
}

/** @param restart takes facts and states through a snapshot before every reading, when true. */
export function createSubjectRun<
  Facts extends TrackedFacts,
  const States extends readonly unknown[],
>(options: {
  readonly tracker: Tracker<Facts>
  readonly detectors: { readonly [At in keyof States]: Detector<States[At], Facts> }
  readonly context: SubjectContext
  readonly restart?: boolean
}): SubjectRun<Facts> {
  const { tracker } = options
  let { context } = options
  let facts = tracker.initial()
  const found: Found[] = []
  const watched = (options.detectors as unknown as readonly Detector<unknown, Facts>[]).map(
    (detector): Watched<Facts> => ({ detector, state: detector.initial() }),
  )
  const situation = () => ({ facts, part: context.subject, context })
  const note = (condition: Condition, finding: Finding | null): void => {
    if (finding) found.push({ condition, ...finding })
  }
  const dueOf = (w: Watched<Facts>): number => w.detector.deadlineMs(w.state, situation())
  const tell = (cause: Cause): void => {
    for (const w of watched) {
      if (cause.type === 'reading' && !w.detector.hears.includes(cause.reading.quantity)) continue
      note(w.detector.condition, w.detector.onFacts(w.state, situation(), cause))
    }
  }
  const fireAt = (dueMs: number): void => {
    if (tracker.deadlineMs(facts, context) === dueMs) {
      tracker.onDeadline(facts, dueMs, context)
      facts.atMs = dueMs
      tell({ type: 'deadline' })
      return
    }
    for (const w of watched) {
      if (dueOf(w) === dueMs) note(w.detector.condition, w.detector.onDeadline(w.state, situation(), dueMs))
    }
  }
  const fireWhile = (isDue: (dueMs: number) => boolean): void => {
    const next = (): number => Math.min(tracker.deadlineMs(facts, context), ...watched.map(dueOf))
    for (let dueMs = next(), times = 0; isDue(dueMs); dueMs = next()) {
      if (++times > 100_000) throw new RangeError(`a deadline at ${dueMs} does not move on`)
      fireAt(dueMs)
    }
  }
  const thaw = <T>(value: T): T => JSON.parse(JSON.stringify(value)) as T

  return {
    facts: () => facts,
    found,
    read: (reading) => {
      if (options.restart) {
        facts = thaw(facts)
        for (const w of watched) w.state = thaw(w.state)
      }
      fireWhile((dueMs) => dueMs < reading.atMs)
      tracker.onReading(facts, reading, context)
      facts.atMs = reading.atMs
      tell({ type: 'reading', reading })
    },
    order: (order, changed) => {
      fireWhile((dueMs) => dueMs < order.atMs)
      context = changed ?? context
      tracker.onOrder(facts, order, context)
      facts.atMs = order.atMs
      tell({ type: 'order', order })
    },
    wakeThrough: (atMs) => fireWhile((dueMs) => dueMs <= atMs),
    change: (atMs, act) => {
      fireWhile((dueMs) => dueMs < atMs)
      act(facts, context)
    },
  }
}
