import type { Detector, Finding, SubjectContext } from '../detect/detector.ts'
import type { Effect } from '../model/effect.ts'
import type { Episode } from '../model/episode.ts'
import type { Reading } from '../model/input.ts'
import { subjectKey } from '../model/subject.ts'
import { detectorsOf } from './detectors.ts'
import { AFTER_ALL_SENSORS, subjectToJson, type SubjectState } from './subject-state.ts'

export const SNAPSHOT_EVERY_MS = 15 * 60_000

/** Where the fold leaves what it found. */
export interface SubjectSink {
  readonly episodeOpened: (episode: Episode) => void
  readonly episodeClosed: (episode: Episode) => void
  readonly snapshot: (effect: Extract<Effect, { type: 'subjectSnapshot' }>) => void
}

/** Does this come before something that was already applied? Then the subject must be rebuilt. */
export function isLate(state: SubjectState, atMs: number, sensorId: string): boolean {
  return atMs < state.throughMs || (atMs === state.throughMs && sensorId < state.throughSensor)
}

/** Is this sensor bound to the subject, with the quantity that it sends? */
export function isBound({ sensors }: SubjectContext, { sensorId, quantity }: Reading): boolean {
  return sensors.get(sensorId)?.quantity === quantity
}

/** Applies a reading that is not late: first the deadlines before it, then the reading. */
export function applyReading(
  state: SubjectState,
  reading: Reading,
  context: SubjectContext,
  sink: SubjectSink,
): void {
  fireBefore(state, reading.atMs, context, sink)
  takeSnapshot(state, reading.atMs, context, sink)
  const detectors = detectorsOf(context.subject.kind)
  for (let i = 0; i < detectors.length; i++) {
    const detector = detectors[i] as Detector<unknown>
    const finding = detector.onReading(state.detectors[i], reading, context)
    if (finding) record(state, i, detector, finding, context, sink)
  }
  state.throughMs = reading.atMs
  state.throughSensor = reading.sensorId
}

/** The settings changed: `before` held until `atMs`, `context` from then on. */
export function applySettings(
  state: SubjectState,
  atMs: number,
  { before, context }: { before: SubjectContext | undefined; context: SubjectContext },
  sink: SubjectSink,
): void {
  fireBefore(state, atMs, before ?? context, sink)
  takeSnapshot(state, atMs, before ?? context, sink)
  detectorsOf(context.subject.kind).forEach((detector, i) => {
    const finding = detector.onSettings(state.detectors[i], atMs, context)
    if (finding) record(state, i, detector, finding, context, sink)
  })
  state.throughMs = atMs
  state.throughSensor = ''
}

/** When the subject wants to be woken, or Infinity. */
export function subjectDeadlineMs(state: SubjectState, context: SubjectContext): number {
  const detectors = detectorsOf(context.subject.kind)
  let soonest = Infinity
  for (let i = 0; i < detectors.length; i++) {
    const at = (detectors[i] as Detector<unknown>).deadlineMs(state.detectors[i], context)
    if (at < soonest) soonest = at
  }
  return soonest
}

/** Fires what is due at or before `clockMs`, by the monitor's clock. */
export function fireThrough(
  state: SubjectState,
  clockMs: number,
  context: SubjectContext,
  sink: SubjectSink,
): void {
  for (let at = subjectDeadlineMs(state, context); at <= clockMs; at = subjectDeadlineMs(state, context)) {
    fireAt(state, at, context, sink)
  }
}

/** A reading at `atMs` proves that the subject's own time came that far: what was due before it is decided. */
function fireBefore(state: SubjectState, atMs: number, context: SubjectContext, sink: SubjectSink): void {
  for (let at = subjectDeadlineMs(state, context); at < atMs; at = subjectDeadlineMs(state, context)) {
    fireAt(state, at, context, sink)
  }
}

function fireAt(state: SubjectState, dueMs: number, context: SubjectContext, sink: SubjectSink): void {
  // New settings may put a deadline into the past; nothing is dated before what was already applied.
  const atMs = Math.max(dueMs, state.throughMs)
  detectorsOf(context.subject.kind).forEach((detector, i) => {
    if (detector.deadlineMs(state.detectors[i], context) !== dueMs) return
    const finding = detector.onDeadline(state.detectors[i], atMs, context)
    if (finding) record(state, i, detector, finding, context, sink)
  })
  if (atMs > state.throughMs || (atMs === state.throughMs && state.throughSensor !== AFTER_ALL_SENSORS)) {
    state.throughMs = atMs
    state.throughSensor = AFTER_ALL_SENSORS
  }
}

/** Keeps the state before something newer than all applied so far, once every quarter of an hour. */
function takeSnapshot(state: SubjectState, atMs: number, context: SubjectContext, sink: SubjectSink): void {
  if (atMs < state.nextSnapshotMs) return
  const { throughMs } = state
  state.nextSnapshotMs = (Math.floor(atMs / SNAPSHOT_EVERY_MS) + 1) * SNAPSHOT_EVERY_MS
  if (throughMs === -Infinity) return
  sink.snapshot({
    type: 'subjectSnapshot',
    subjectKey: subjectKey(context.subject),
    throughMs,
    stateJson: subjectToJson(state),
  })
}

function record(
  state: SubjectState,
  at: number,
  { condition }: Detector<unknown>,
  finding: Finding,
  { subject, calendar }: SubjectContext,
  sink: SubjectSink,
): void {
  if (finding.type === 'opened') {
    const { fromMs, openedMs, value, worst } = finding
    const id = `${condition}|${subjectKey(subject)}|${fromMs}`
    const shopClosed = !calendar.isOpenAt(openedMs)
    const episode = {
      id,
      condition,
      subject,
      fromMs,
      openedMs,
      toMs: null,
      closedMs: null,
      value,
      worst,
      shopClosed,
    }
    state.open[at] = episode
    sink.episodeOpened(episode)
    return
  }
  const opened = state.open[at]
  if (!opened)
    throw new RangeError(
      `${condition} of ${subjectKey(subject)} closed at ${finding.closedMs} without being open`,
    )
  state.open[at] = null
  sink.episodeClosed({ ...opened, toMs: finding.toMs, closedMs: finding.closedMs, worst: finding.worst })
}
