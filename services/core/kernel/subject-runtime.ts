import type { Detector, Situation } from '../detect/detector.ts'
import type { Condition } from '../model/episode.ts'
import type { Quantity } from '../model/quantity.ts'
import { subjectKey } from '../model/subject.ts'
import type { SubjectContext, TrackedFacts, Tracker } from '../track/tracker.ts'
import { judgementOf } from './judgements.ts'
import type { SubjectState } from './subject-state.ts'

/** One condition of one part, with its state at hand. */
export interface Watch {
  readonly key: string
  readonly condition: Condition
  readonly detector: Detector<unknown, TrackedFacts>
  readonly situation: Situation<TrackedFacts>
  readonly state: unknown
  dueMs: number
}

/** A subject's state bound to the context that holds: what the fold needs at every reading, worked out once. */
export interface Runtime {
  readonly context: SubjectContext
  readonly tracker: Tracker<TrackedFacts>
  readonly watches: readonly Watch[]
  readonly hearing: ReadonlyMap<Quantity, readonly Watch[]>
  trackerDueMs: number
  /** The soonest of all deadlines. */
  dueMs: number
}

const runtimes = new WeakMap<SubjectState, Runtime>()

/** A shortcut beside the state, made anew whenever the context changes; nothing in it is truth of its own. */
export function runtimeOf(state: SubjectState, context: SubjectContext): Runtime {
  const known = runtimes.get(state)
  if (known?.context === context) return known
  const runtime = rebind(state, context)
  refreshAll(runtime, state.facts)
  return runtime
}

/** Binds the state to a new context. Its facts do not follow that yet, so nobody may be asked for deadlines. */
export function rebind(state: SubjectState, context: SubjectContext): Runtime {
  const runtime = bind(state, context)
  runtimes.set(state, runtime)
  return runtime
}

function bind(state: SubjectState, context: SubjectContext): Runtime {
  const { tracker, detectors } = judgementOf(context.subject.kind)
  const watches = detectors.flatMap((detector) =>
    (detector.partsOf?.(context) ?? [context.subject]).map((part): Watch => {
      const key = `${detector.condition}|${subjectKey(part)}`
      const kept = (state.watches[key] ??= detector.initial())
      const situation = { facts: state.facts, part, context }
      return { key, condition: detector.condition, detector, situation, state: kept, dueMs: Infinity }
    }),
  )
  const hearing = new Map<Quantity, Watch[]>()
  for (const watch of watches) {
    for (const q of watch.detector.hears) hearing.set(q, [...(hearing.get(q) ?? []), watch])
  }
  return { context, tracker, watches, hearing, trackerDueMs: Infinity, dueMs: Infinity }
}

/** Asks the tracker and every watch when they want to be woken. */
export function refreshAll(runtime: Runtime, facts: TrackedFacts): void {
  for (const watch of runtime.watches) watch.dueMs = watch.detector.deadlineMs(watch.state, watch.situation)
  refreshTracker(runtime, facts)
}

export function refreshTracker(runtime: Runtime, facts: TrackedFacts): void {
  runtime.trackerDueMs = runtime.tracker.deadlineMs(facts, runtime.context)
  let soonest = runtime.trackerDueMs
  for (const watch of runtime.watches) if (watch.dueMs < soonest) soonest = watch.dueMs
  runtime.dueMs = soonest
}
