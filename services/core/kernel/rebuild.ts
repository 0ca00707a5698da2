import type { SubjectContext } from '../detect/detector.ts'
import type { Effect } from '../model/effect.ts'
import type { Episode } from '../model/episode.ts'
import type { InputOf } from '../model/input.ts'
import type { SubjectHistory } from '../model/ports/records.ts'
import { subjectOfKey } from '../model/subject.ts'
import { diffEpisodes } from './diff-episodes.ts'
import type { Plan } from './plan.ts'
import type { RecentStates } from './recent-states.ts'
import { applyReading, applySettings, fireThrough, isBound, type SubjectSink } from './subject-stage.ts'
import { initialSubject, subjectFromJson, type SubjectState } from './subject-state.ts'

export interface RebuildRequest {
  readonly subjectKey: string
  /** Event time of the late thing. */
  readonly lateMs: number
  /** How far the monitor's clock had moved deadlines. */
  readonly clockMs: number
  readonly nowMs: number
  readonly history: SubjectHistory
  readonly recent: RecentStates
  /** Of the subject as it stands: when it came under watch. */
  readonly sinceMs: number
  readonly planOf: (settings: InputOf<'settings'>) => Plan
}

/**
 * Builds a subject again from its last snapshot before a late reading, with the settings in force then, and says
 * what that changed on record. The result is what it would have been had everything come in order.
 */
export function rebuildSubject(request: RebuildRequest): { state: SubjectState; effects: readonly Effect[] } {
  const { subjectKey, lateMs, history, recent } = request
  recent.dropFrom(subjectKey, lateMs)
  const kept = history.snapshotBefore({ subjectKey, beforeMs: lateMs })
  const snapshot = newer(recent.before(subjectKey, lateMs), kept)
  const subject = subjectOfKey(subjectKey)
  const state = snapshot ? subjectFromJson(snapshot.stateJson) : initialSubject(subject.kind, request.sinceMs)
  const afterMs = snapshot?.throughMs ?? -Infinity
  const open = new Set(state.open.flatMap((e) => (e ? [e.id] : [])))
  // A deadline that falls on the snapshot's own instant is fired after it: what closed then may still be open in it.
  const onRecord = history
    .episodesTouchedAfter({ subjectKey, afterMs: afterMs - 1 })
    .filter((e) => e.closedMs === null || e.closedMs > afterMs || open.has(e.id))

  const rebuilt = new Map<string, Episode>(state.open.flatMap((e) => (e ? [[e.id, e]] : [])))
  const snapshots: Effect[] = []
  const sink: SubjectSink = {
    episodeOpened: (episode) => rebuilt.set(episode.id, episode),
    episodeClosed: (episode) => rebuilt.set(episode.id, episode),
    snapshot: (effect) => snapshots.push(effect),
  }
  replay(state, afterMs, request, sink)

  const episodes = [...rebuilt.values()].sort((a, b) => a.fromMs - b.fromMs || (a.id < b.id ? -1 : 1))
  return {
    state,
    effects: [
      { type: 'subjectSnapshotsDropped', subjectKey, fromMs: lateMs },
      ...snapshots,
      ...diffEpisodes(onRecord, episodes, request.nowMs),
    ],
  }
}

/** From an older one the snapshots in between would be told again. */
function newer<T extends { throughMs: number }>(near: T | null, kept: T | null): T | null {
  return near && near.throughMs > (kept?.throughMs ?? -Infinity) ? near : kept
}

function replay(state: SubjectState, afterMs: number, request: RebuildRequest, sink: SubjectSink): void {
  const { subjectKey, history, planOf, clockMs } = request
  const settings = history.settingsFrom(afterMs)
  const plans = settings.map((input) => ({ atMs: input.atMs, plan: planOf(input) }))
  const sensorIds = new Set(
    plans.flatMap(({ plan }) => [...(plan.contexts.get(subjectKey)?.sensors.keys() ?? [])]),
  )
  const readings = history.readingsAfter({ sensorIds: [...sensorIds], afterMs })

  let next = 0
  let context: SubjectContext | undefined
  const applyPlansThrough = (atMs: number): void => {
    for (let p = plans[next]; p && p.atMs <= atMs; p = plans[++next]) {
      const after = p.plan.contexts.get(subjectKey)
      // What the snapshot already holds is not applied a second time.
      if (p.atMs > afterMs) context = changeSettings(state, p.atMs, { before: context, after }, sink) ?? after
      else context = after
    }
  }
  applyPlansThrough(afterMs)
  for (const reading of readings) {
    applyPlansThrough(reading.atMs)
    if (!context || !isBound(context, reading)) continue
    request.recent.note(subjectKey, state, reading.atMs)
    applyReading(state, reading, context, sink)
  }
  applyPlansThrough(Infinity)
  if (context) fireThrough(state, clockMs, context, sink)
}

/** A subject that the new settings no longer have ends with its sensors gone: its last context without them. */
export function changeSettings(
  state: SubjectState,
  atMs: number,
  { before, after }: { before: SubjectContext | undefined; after: SubjectContext | undefined },
  sink: SubjectSink,
): SubjectContext | undefined {
  const context = after ?? (before && { ...before, sensors: new Map() })
  if (context) applySettings(state, atMs, { before, context }, sink)
  return after
}
