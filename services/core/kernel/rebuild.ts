import type { Effect } from '../model/effect.ts'
import type { Episode } from '../model/episode.ts'
import type { ActOrder, Order } from '../model/input.ts'
import { learnedKey, type Learned } from '../model/learned.ts'
import type { SubjectHistory } from '../model/ports/records.ts'
import type { Settings } from '../model/settings.ts'
import { subjectOfKey } from '../model/subject.ts'
import type { SubjectContext } from '../track/tracker.ts'
import { diffEpisodes } from './diff-episodes.ts'
import { eventsAfter, windowAt } from './late-window.ts'
import { planOf, type Plan } from './plan.ts'
import {
  applyAct,
  applyChange,
  applyReading,
  fireThrough,
  isHeard,
  type SubjectSink,
} from './subject-stage.ts'
import {
  emptyWindow,
  initialSubject,
  subjectFromJson,
  type SubjectEvent,
  type SubjectState,
} from './subject-state.ts'

export interface RebuildRequest {
  readonly subjectKey: string
  /** The subject as it stands. */
  readonly state: SubjectState
  /** Event time of the first late thing. */
  readonly firstMs: number
  /** What comes late, and what came with it after that; null when it is a change of the plan. Already in `history`. */
  readonly late: readonly SubjectEvent[] | null
  /** How far the monitor's clock had moved deadlines. */
  readonly clockMs: number
  readonly nowMs: number
  readonly history: SubjectHistory
  /** The plan in force now. */
  readonly plan: Plan
}

export interface Rebuilt {
  readonly state: SubjectState
  readonly effects: readonly Effect[]
  /** It had to look into the book of record, which a replay must never do. */
  readonly fromRecords: boolean
}

/**
 * Builds a subject again from before a late thing, and says what that changed on record. The result is what it would
 * have been had everything come in order. What is late by minutes is told from the subject's own window; what is
 * later than that, from its last snapshot and the book of record.
 */
export function rebuildSubject(request: RebuildRequest): Rebuilt {
  const fold = createFold()
  const fromWindow = rebuildFromWindow(request, fold)
  const { state, onRecord } = fromWindow ?? rebuildFromRecords(request, fold)
  const episodes = [...fold.rebuilt.values()].sort((a, b) => a.fromMs - b.fromMs || (a.id < b.id ? -1 : 1))
  return {
    state,
    effects: [
      { type: 'subjectSnapshotsDropped', subjectKey: request.subjectKey, fromMs: request.firstMs },
      ...fold.snapshots,
      ...fold.quarters,
      ...diffEpisodes(onRecord, episodes, request.nowMs),
    ],
    fromRecords: fromWindow === null,
  }
}

interface Base {
  readonly state: SubjectState
  /** Episodes on record that the fold tells anew. */
  readonly onRecord: readonly Episode[]
}

interface Fold {
  readonly sink: SubjectSink
  readonly rebuilt: Map<string, Episode>
  readonly snapshots: Effect[]
  readonly quarters: Effect[]
}

function createFold(): Fold {
  const rebuilt = new Map<string, Episode>()
  const snapshots: Effect[] = []
  const quarters: Effect[] = []
  return {
    rebuilt,
    snapshots,
    quarters,
    sink: {
      episodeOpened: (episode) => rebuilt.set(episode.id, episode),
      episodeClosed: (episode) => rebuilt.set(episode.id, episode),
      snapshot: (effect) => snapshots.push(effect),
      quarterNoted: (quarter) => quarters.push({ type: 'quarterNoted', quarter }),
    },
  }
}

function rebuildFromWindow(request: RebuildRequest, { sink, rebuilt }: Fold): Base | null {
  const { subjectKey, state: old, firstMs, late, plan, clockMs } = request
  const { window } = old
  const checkpoint = window.checkpoints.findLast((c) => c.throughMs < firstMs)
  const context = plan.contexts.get(subjectKey)
  if (!late || !checkpoint || !context) return null
  const state = subjectFromJson(checkpoint.coreJson, windowAt(window, checkpoint))
  state.window.lateMs = Math.max(window.lateMs ?? -Infinity, firstMs)
  const onRecord = toldAgain(window.episodes, state)
  const open = Object.values(state.open)
  state.window.episodes = [...window.episodes.filter((e) => !onRecord.includes(e)), ...open]
  for (const episode of open) rebuilt.set(episode.id, episode)
  const events = [...eventsAfter(window, checkpoint), ...late].sort(byTime)
  for (const event of events) apply(state, event, context, sink)
  fireThrough(state, clockMs, context, sink)
  return { state, onRecord }
}

/**
 * Episodes that a fold from `state` on tells again. A deadline that falls on the very instant through which the state
 * is known is fired after it: what closed then may still be open in it.
 */
function toldAgain(episodes: readonly Episode[], { throughMs, open }: SubjectState): readonly Episode[] {
  const openThen = new Set(Object.values(open).map((e) => e.id))
  return episodes.filter((e) => e.closedMs === null || e.closedMs > throughMs || openThen.has(e.id))
}

function apply(state: SubjectState, event: SubjectEvent, context: SubjectContext, sink: SubjectSink): void {
  if ('type' in event) applyAct(state, event, context, sink)
  else applyReading(state, event, context, sink)
}

/** In the subject's own time; what people said before what was measured at the same instant. */
function byTime(a: SubjectEvent, b: SubjectEvent): number {
  if (a.atMs !== b.atMs) return a.atMs - b.atMs
  if ('type' in a) return 'type' in b ? a.seq - b.seq : -1
  if ('type' in b) return 1
  return a.sensorId < b.sensorId ? -1 : 1
}

function rebuildFromRecords(request: RebuildRequest, { sink, rebuilt }: Fold): Base {
  const { subjectKey, state: old, firstMs, history } = request
  const snapshot = history.snapshotBefore({ subjectKey, beforeMs: firstMs })
  const window = emptyWindow(Math.max(old.window.lateMs ?? -Infinity, firstMs))
  const state = snapshot
    ? subjectFromJson(snapshot.stateJson, window)
    : { ...initialSubject(subjectOfKey(subjectKey).kind, old.sinceMs), window }
  const afterMs = state.throughMs
  const touched = history.episodesTouchedAfter({ subjectKey, afterMs: afterMs - 1 })
  const onRecord = toldAgain(touched, state)
  for (const episode of Object.values(state.open)) rebuilt.set(episode.id, episode)
  replay(state, afterMs, request, sink)
  return { state, onRecord }
}

function replay(state: SubjectState, afterMs: number, request: RebuildRequest, sink: SubjectSink): void {
  const { subjectKey, history, plan, clockMs } = request
  const steps = planned(history.ordersFrom(afterMs), plan)
  const sensorIds = new Set(
    steps.flatMap((s) => [...(s.plan.contexts.get(subjectKey)?.sensors.keys() ?? [])]),
  )
  const readings = history.readingsAfter({ sensorIds: [...sensorIds], afterMs })

  let next = 0
  let context: SubjectContext | undefined
  const takeOrdersThrough = (atMs: number): void => {
    for (let step = steps[next]; step && step.order.atMs <= atMs; step = steps[++next]) {
      const { order } = step
      const after = step.plan.contexts.get(subjectKey)
      // What the snapshot already holds is not applied a second time.
      const isNew = order.atMs > afterMs
      if (!isAct(order)) {
        if (isNew) changeContext(state, order, { before: context, after }, sink)
        context = after
      } else if (isNew && context && concerns(order, context)) applyAct(state, order, context, sink)
    }
  }
  takeOrdersThrough(afterMs)
  for (const reading of readings) {
    takeOrdersThrough(reading.atMs)
    if (!context || reading.atMs < state.sinceMs || !isHeard(context, reading)) continue
    applyReading(state, reading, context, sink)
  }
  takeOrdersThrough(Infinity)
  const now = plan.contexts.get(subjectKey)
  if (now) fireThrough(state, clockMs, now, sink)
}

/** Each order with the plan that holds from it on. The last is the plan in force now. */
function planned(orders: readonly Order[], now: Plan): readonly { order: Order; plan: Plan }[] {
  let settings: Settings | undefined
  const learned = new Map<string, Learned>()
  let plan: Plan | undefined
  const last = orders.findLast((o) => !isAct(o))
  return orders.map((order) => {
    if (!isAct(order)) {
      if (order.type === 'settings') settings = order.settings
      else learned.set(learnedKey(order.learned), order.learned)
      plan = order === last || !settings ? now : planOf(settings, new Map(learned))
    }
    return { order, plan: plan ?? now }
  })
}

function isAct(order: Order): order is ActOrder {
  return order.type !== 'settings' && order.type !== 'learned'
}

/** Is this said of the subject, or of a machine that drains into it? */
export function concerns({ machineId }: ActOrder, { subject, settings }: SubjectContext): boolean {
  if (subject.kind === 'machine') return subject.id === machineId
  if (subject.kind !== 'bottle') return false
  return settings.bottles.some((b) => b.id === subject.id && b.machines.includes(machineId))
}

/** A subject that the new settings no longer have ends with its sensors gone: its last context without them. */
export function changeContext(
  state: SubjectState,
  order: Order,
  { before, after }: { before: SubjectContext | undefined; after: SubjectContext | undefined },
  sink: SubjectSink,
): void {
  const context = after ?? (before && { ...before, sensors: new Map() })
  if (context) applyChange(state, order, { before, context }, sink)
  state.window = emptyWindow(state.window.lateMs)
}
