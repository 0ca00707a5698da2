import type { Finding } from '../detect/detector.ts'
import type { Effect } from '../model/effect.ts'
import type { Episode } from '../model/episode.ts'
import type { ActOrder, Order, Reading } from '../model/input.ts'
import { QUARTER_MS, type MachineQuarter } from '../model/quarter.ts'
import { subjectKey } from '../model/subject.ts'
import type { Cause, SubjectContext, TrackedFacts } from '../track/tracker.ts'
import { isDistrusted, type TrustedFacts } from '../track/trusted.ts'
import { judgementOf } from './judgements.ts'
import { keepInWindow, noteEpisode, takeCheckpoint } from './late-window.ts'
import { rebind, refreshAll, refreshTracker, runtimeOf, type Runtime, type Watch } from './subject-runtime.ts'
import { AFTER_ALL_SENSORS, coreToJson, type SubjectState } from './subject-state.ts'

export const SNAPSHOT_EVERY_MS = 15 * 60_000
/** A deadline that is fired this often without moving on is a fault of ours, better stopped than endless. */
const MOST_AT_ONE_INSTANT = 1_000

/** Where the fold leaves what it found. */
export interface SubjectSink {
  readonly episodeOpened: (episode: Episode) => void
  readonly episodeClosed: (episode: Episode) => void
  readonly snapshot: (effect: Extract<Effect, { type: 'subjectSnapshot' }>) => void
  readonly quarterNoted: (quarter: MachineQuarter) => void
}

/** Does this come before something that was already applied? Then the subject must be rebuilt. An order has no sensor. */
export function isLate(state: SubjectState, atMs: number, sensorId: string): boolean {
  return atMs < state.throughMs || (atMs === state.throughMs && sensorId < state.throughSensor)
}

/** Is this sensor heard by the subject, with the quantity that it sends? */
export function isHeard({ sensors }: SubjectContext, { sensorId, quantity }: Reading): boolean {
  return sensors.get(sensorId)?.quantity === quantity
}

/** Applies a reading that is not late: first the deadlines before it, then the reading. */
export function applyReading(
  state: SubjectState,
  reading: Reading,
  context: SubjectContext,
  sink: SubjectSink,
): void {
  const runtime = runtimeOf(state, context)
  const { atMs } = reading
  beginAt(state, atMs, runtime, sink)
  runtime.tracker.onReading(state.facts, reading, context)
  state.facts.atMs = atMs
  const cause: Cause = { type: 'reading', reading }
  const hearing = runtime.hearing.get(reading.quantity)
  if (hearing) {
    // A sensor that is not believed says something of itself alone.
    const believed = !isDistrustedBy(state.facts, reading.sensorId)
    for (const watch of hearing) {
      if (!believed && watch.situation.part.kind !== 'sensor') continue
      const finding = watch.detector.onFacts(watch.state, watch.situation, cause)
      if (finding) record(state, watch, finding, context, sink)
      watch.dueMs = watch.detector.deadlineMs(watch.state, watch.situation)
    }
  }
  refreshTracker(runtime, state.facts)
  state.throughMs = atMs
  state.throughSensor = reading.sensorId
  keepInWindow(state, reading)
}

function isDistrustedBy(facts: TrackedFacts, sensorId: string): boolean {
  return 'trust' in facts && isDistrusted(facts as TrustedFacts, sensorId)
}

/** What a person said or did at the subject. */
export function applyAct(
  state: SubjectState,
  act: ActOrder,
  context: SubjectContext,
  sink: SubjectSink,
): void {
  const runtime = runtimeOf(state, context)
  beginAt(state, act.atMs, runtime, sink)
  takeOrder(state, act, runtime, sink)
  keepInWindow(state, act)
}

/** Settings or learned values changed: `before` held until then, `context` from then on. */
export function applyChange(
  state: SubjectState,
  order: Order,
  { before, context }: { before: SubjectContext | undefined; context: SubjectContext },
  sink: SubjectSink,
): void {
  if (before) beginAt(state, order.atMs, runtimeOf(state, before), sink)
  const runtime = rebind(state, context)
  takeOrder(state, order, runtime, sink)
  endUnwatched(state, order.atMs, runtime, sink)
}

/** When the subject wants to be woken, or Infinity. */
export function subjectDeadlineMs(state: SubjectState, context: SubjectContext): number {
  return runtimeOf(state, context).dueMs
}

/** Fires what is due at or before `clockMs`, by the monitor's clock. */
export function fireThrough(
  state: SubjectState,
  clockMs: number,
  context: SubjectContext,
  sink: SubjectSink,
): void {
  const runtime = runtimeOf(state, context)
  fireWhile(state, (dueMs) => dueMs <= clockMs, runtime, sink)
}

/** Something at `atMs` proves that the subject's own time came that far: what was due before it is decided first. */
function beginAt(state: SubjectState, atMs: number, runtime: Runtime, sink: SubjectSink): void {
  if (runtime.dueMs < atMs) fireWhile(state, (dueMs) => dueMs < atMs, runtime, sink)
  if (atMs >= state.nextSnapshotMs) takeSnapshot(state, atMs, runtime.context, sink)
  takeCheckpoint(state, atMs)
  // After what is kept for a rebuild: what is built from there must note its quarters again.
  noteQuarters(state, atMs, runtime, sink)
}

function fireWhile(
  state: SubjectState,
  isDue: (dueMs: number) => boolean,
  runtime: Runtime,
  sink: SubjectSink,
): void {
  let lastMs = -Infinity
  let times = 0
  while (isDue(runtime.dueMs)) {
    times = runtime.dueMs === lastMs ? times + 1 : 0
    lastMs = runtime.dueMs
    if (times > MOST_AT_ONE_INSTANT) {
      throw new RangeError(
        `a deadline of ${subjectKey(runtime.context.subject)} at ${lastMs} does not move on`,
      )
    }
    fireAt(state, lastMs, runtime, sink)
  }
}

/** The tracker first: what it then knows may decide what a condition waited for. */
function fireAt(state: SubjectState, dueMs: number, runtime: Runtime, sink: SubjectSink): void {
  const { context, tracker, watches } = runtime
  // New settings may put a deadline into the past; nothing is dated before what was already applied.
  const atMs = Math.max(dueMs, state.throughMs)
  noteQuarters(state, atMs, runtime, sink)
  if (runtime.trackerDueMs === dueMs) {
    tracker.onDeadline(state.facts, atMs, context)
    state.facts.atMs = atMs
    tellAll(state, { type: 'deadline' }, runtime, sink)
  } else {
    for (const watch of watches) {
      if (watch.dueMs !== dueMs) continue
      const finding = watch.detector.onDeadline(watch.state, watch.situation, atMs)
      if (finding) record(state, watch, finding, context, sink)
      watch.dueMs = watch.detector.deadlineMs(watch.state, watch.situation)
    }
    refreshTracker(runtime, state.facts)
  }
  if (atMs > state.throughMs || (atMs === state.throughMs && state.throughSensor !== AFTER_ALL_SENSORS)) {
    state.throughMs = atMs
    state.throughSensor = AFTER_ALL_SENSORS
  }
}

function takeOrder(state: SubjectState, order: Order, runtime: Runtime, sink: SubjectSink): void {
  runtime.tracker.onOrder(state.facts, order, runtime.context)
  state.facts.atMs = order.atMs
  tellAll(state, { type: 'order', order }, runtime, sink)
  state.throughMs = order.atMs
  state.throughSensor = ''
}

function tellAll(state: SubjectState, cause: Cause, runtime: Runtime, sink: SubjectSink): void {
  for (const watch of runtime.watches) {
    const finding = watch.detector.onFacts(watch.state, watch.situation, cause)
    if (finding) record(state, watch, finding, runtime.context, sink)
  }
  refreshAll(runtime, state.facts)
}

/** A part that the new settings no longer have: what was open of it ends, and it is forgotten. */
function endUnwatched(state: SubjectState, atMs: number, { watches }: Runtime, sink: SubjectSink): void {
  const watched = new Set(watches.map((w) => w.key))
  for (const key of Object.keys(state.watches)) {
    if (watched.has(key)) continue
    Reflect.deleteProperty(state.watches, key)
    const episode = state.open[key]
    if (!episode) continue
    Reflect.deleteProperty(state.open, key)
    tellClosed(state, { ...episode, toMs: atMs, closedMs: atMs }, sink)
  }
}

/** A gap in which nothing was heard for longer than this is a gap in the notes too. */
const MOST_QUARTERS = 96

/**
 * Notes every quarter of an hour that ends at or before `atMs`, before anything at that moment is applied: what is known
 * then holds for all of them, since whatever came before was applied.
 */
function noteQuarters(state: SubjectState, atMs: number, { context }: Runtime, sink: SubjectSink): void {
  const { nextQuarterMs } = state
  if (atMs < nextQuarterMs) return
  const lastMs = Math.floor(atMs / QUARTER_MS) * QUARTER_MS
  state.nextQuarterMs = lastMs + QUARTER_MS
  const { quarterOf } = judgementOf(context.subject.kind)
  if (!quarterOf || nextQuarterMs === -Infinity) return
  const firstMs = Math.max(nextQuarterMs, lastMs - MOST_QUARTERS * QUARTER_MS)
  for (let endMs = firstMs; endMs <= lastMs; endMs += QUARTER_MS) {
    sink.quarterNoted(quarterOf(state.facts, endMs, context))
  }
}

/** Keeps the state before something newer than all applied so far, once every quarter of an hour. */
function takeSnapshot(state: SubjectState, atMs: number, context: SubjectContext, sink: SubjectSink): void {
  const { throughMs } = state
  state.nextSnapshotMs = (Math.floor(atMs / SNAPSHOT_EVERY_MS) + 1) * SNAPSHOT_EVERY_MS
  if (throughMs === -Infinity) return
  sink.snapshot({
    type: 'subjectSnapshot',
    subjectKey: subjectKey(context.subject),
    throughMs,
    stateJson: coreToJson(state),
  })
}

function record(
  state: SubjectState,
  { key, condition, situation: { part } }: Watch,
  finding: Finding,
  { subject, calendar }: SubjectContext,
  sink: SubjectSink,
): void {
  if (finding.type === 'closed') return recordClosed(state, key, finding, sink)
  const { fromMs, openedMs, value, worst } = finding
  const milder = state.open[key]
  if (milder)
    recordClosed(state, key, { toMs: openedMs, closedMs: openedMs, worst: milder.worst ?? value }, sink)
  const episode = {
    id: `${condition}|${subjectKey(part)}|${fromMs}`,
    condition,
    subject: part,
    judgedUnder: subjectKey(subject),
    fromMs,
    openedMs,
    toMs: null,
    closedMs: null,
    value,
    worst,
    shopClosed: !calendar.isOpenAt(openedMs),
  }
  state.open[key] = episode
  noteEpisode(state, episode)
  sink.episodeOpened(episode)
}

function recordClosed(
  state: SubjectState,
  key: string,
  { toMs, closedMs, worst }: Omit<Extract<Finding, { type: 'closed' }>, 'type'>,
  sink: SubjectSink,
): void {
  const opened = state.open[key]
  if (!opened) throw new RangeError(`${key} closed at ${closedMs} without being open`)
  Reflect.deleteProperty(state.open, key)
  tellClosed(state, { ...opened, toMs, closedMs, worst }, sink)
}

function tellClosed(state: SubjectState, episode: Episode, sink: SubjectSink): void {
  noteEpisode(state, episode)
  sink.episodeClosed(episode)
}
