import type { Effect } from '../model/effect.ts'
import type { Input, InputOf, Reading } from '../model/input.ts'
import type { SubjectHistory } from '../model/ports/records.ts'
import { subjectOfKey } from '../model/subject.ts'
import { initialNode, notePack } from './node-packs.ts'
import { planOf, type Plan } from './plan.ts'
import { changeSettings, rebuildSubject } from './rebuild.ts'
import {
  fireReceipts,
  followSensors,
  monitorWasDark,
  receiptDeadlineMs,
  sensorHeard,
} from './receipt-stage.ts'
import { acknowledge, applyEpisodes, publishMachines, signOff, type EpisodeEffect } from './shop-stage.ts'
import type { KernelState, NodeState } from './state.ts'
import {
  applyReading,
  fireThrough,
  isBound,
  isLate,
  subjectDeadlineMs,
  type SubjectSink,
} from './subject-stage.ts'
import { initialSubject, type SubjectState } from './subject-state.ts'

/** A backlog older than this is stored and counted, not judged. */
export const JUDGED_WITHIN_MS = 72 * 3_600_000

export interface StepResult {
  readonly effects: readonly Effect[]
  /** A late reading was met: the shell must keep a snapshot, so that a replay never meets one. */
  readonly rebuilt: boolean
}

/**
 * Takes one input of the log and gives what follows from it. `state` is changed in place; if the shell cannot
 * commit the effects it must throw the state away. The input is already in `history` when this is called.
 *
 * STEP-1 the same log gives the same effects, in any chunking, with or without a restart between any two inputs.
 * STEP-2 any order of arrival within 72 h gives the same episodes (condition, subject, times); silence, which lives
 *        on receipt time, is exempt.
 */
export function step(state: KernelState, input: Input, history: SubjectHistory): StepResult {
  const run = createRun(state, input, history)
  switch (input.type) {
    case 'readings':
      takeReadings(run, input)
      break
    case 'nodeStatus':
      nodeOf(state, input.nodeId).online = input.online
      break
    case 'settings':
      takeSettings(run, input)
      break
    case 'deadline':
      takeDeadline(run, input.atMs)
      break
    case 'monitorDark':
      monitorWasDark(state, input.atMs)
      break
    case 'alarmAcknowledged':
      acknowledge(state, input.alarmId, input.act, run.emit)
      break
    case 'taskSignedOff':
      signOff(state, input.taskId, input, run.emit)
      break
    case 'nozzleCheckLogged':
      break
  }
  run.finish()
  return { effects: run.effects, rebuilt: run.rebuilt }
}

/** When the kernel wants the monitor's clock to wake it, or Infinity. */
export function nextDeadlineMs(state: KernelState): number {
  let soonest = receiptDeadlineMs(state)
  for (const [key, subject] of state.subjects) {
    const context = state.plan.contexts.get(key)
    if (!context) continue
    const at = subjectDeadlineMs(subject, context)
    if (at < soonest) soonest = at
  }
  return soonest
}

/** One step under way: what it found so far, in the order in which the shop must hear of it. */
interface Run {
  readonly state: KernelState
  readonly input: Input
  readonly history: SubjectHistory
  readonly effects: Effect[]
  readonly found: { atMs: number; subjectKey: string; effect: EpisodeEffect }[]
  readonly sink: SubjectSink
  rebuilt: boolean
  readonly emit: (effect: Effect) => void
  readonly finish: () => void
}

function createRun(state: KernelState, input: Input, history: SubjectHistory): Run {
  const effects: Effect[] = []
  const found: Run['found'] = []
  const emit = (effect: Effect): void => void effects.push(effect)
  return {
    state,
    input,
    history,
    effects,
    found,
    rebuilt: false,
    emit,
    sink: {
      episodeOpened: (episode) => note(found, { type: 'episodeOpened', episode }),
      episodeClosed: (episode) => note(found, { type: 'episodeClosed', episode }),
      snapshot: emit,
    },
    finish: () => {
      const shopEffects = found.sort(byTimeThenSubject).map((f) => f.effect)
      for (const effect of shopEffects) emit(effect)
      applyEpisodes(state, shopEffects, input.receivedMs, emit)
      const mayHaveChanged = effects.some((e) => e.type === 'alarmChanged') || input.type === 'settings'
      if (mayHaveChanged) publishMachines(state, input.seq, input.receivedMs, emit)
    },
  }
}

function note(found: Run['found'], effect: EpisodeEffect): void {
  if (effect.type === 'episodeWithdrawn') {
    found.push({ atMs: effect.atMs, subjectKey: effect.episodeId, effect })
    return
  }
  const { episode } = effect
  const atMs = episode.closedMs ?? episode.openedMs
  found.push({ atMs, subjectKey: `${episode.subject.kind}:${episode.subject.id}`, effect })
}

/** Array.sort is stable, so effects of one subject at one time keep their sequence. */
function byTimeThenSubject(a: Run['found'][number], b: Run['found'][number]): number {
  return a.atMs - b.atMs || (a.subjectKey < b.subjectKey ? -1 : a.subjectKey > b.subjectKey ? 1 : 0)
}

function nodeOf(state: KernelState, nodeId: string): NodeState {
  const known = state.nodes.get(nodeId)
  if (known) return known
  const node = initialNode()
  state.nodes.set(nodeId, node)
  return node
}

function takeReadings(run: Run, input: InputOf<'readings'>): void {
  const { state } = run
  const node = nodeOf(state, input.nodeId)
  node.lastReceivedMs = Math.max(node.lastReceivedMs ?? -Infinity, input.receivedMs)
  if (input.pack) notePack(node, input.pack)

  const oldestJudgedMs = input.receivedMs - JUDGED_WITHIN_MS
  const late = new Map<string, number>()
  let notJudged = 0
  for (const reading of input.readings) {
    sensorHeard(state, reading.sensorId, input.receivedMs, run.sink)
    if (reading.atMs < oldestJudgedMs) notJudged++
    else judge(run, reading, late)
  }
  for (const [subjectKey, lateMs] of late) rebuild(run, subjectKey, lateMs)
  if (notJudged > 0) {
    run.emit({ type: 'readingsNotJudged', nodeId: input.nodeId, count: notJudged, atMs: input.receivedMs })
  }
}

/** Applies a reading in order, or notes that its subject must be rebuilt: then all its readings of this pack wait for that. */
function judge(run: Run, reading: Reading, late: Map<string, number>): void {
  const { state } = run
  const key = state.plan.subjectOfSensor.get(reading.sensorId)
  const context = key === undefined ? undefined : state.plan.contexts.get(key)
  if (key === undefined || !context || !isBound(context, reading)) return
  const subject = subjectOf(state, key, reading.atMs)
  if (reading.atMs < subject.sinceMs) return
  const lateMs = late.get(key)
  if (lateMs !== undefined) late.set(key, Math.min(lateMs, reading.atMs))
  else if (isLate(subject, reading.atMs, reading.sensorId)) late.set(key, reading.atMs)
  else {
    state.recent.note(key, subject, reading.atMs)
    applyReading(subject, reading, context, run.sink)
  }
}

function subjectOf(state: KernelState, key: string, sinceMs: number): SubjectState {
  const known = state.subjects.get(key)
  if (known) return known
  const subject = initialSubject(subjectOfKey(key).kind, sinceMs)
  state.subjects.set(key, subject)
  return subject
}

function takeSettings(run: Run, input: InputOf<'settings'>): void {
  const { state, sink } = run
  const before = state.plan
  const after = planOf(input.settings)
  state.settings = input.settings
  state.settingsSeq = input.seq
  state.plan = after
  for (const key of new Set([...state.subjects.keys(), ...after.contexts.keys()])) {
    const subject = subjectOf(state, key, input.atMs)
    const contexts = { before: before.contexts.get(key), after: after.contexts.get(key) }
    if (isLate(subject, input.atMs, '')) rebuild(run, key, input.atMs)
    else changeSettings(subject, input.atMs, contexts, sink)
    if (!contexts.after) state.subjects.delete(key)
  }
  followSensors(state, input.receivedMs, sink)
}

function takeDeadline(run: Run, atMs: number): void {
  const { state, sink } = run
  state.clockMs = Math.max(state.clockMs, atMs)
  for (const [key, subject] of state.subjects) {
    const context = state.plan.contexts.get(key)
    if (context) fireThrough(subject, state.clockMs, context, sink)
  }
  fireReceipts(state, state.clockMs, sink)
}

function rebuild(run: Run, subjectKey: string, lateMs: number): void {
  const { state, input, history } = run
  const plans = new Map<number, Plan>([[state.settingsSeq, state.plan]])
  const { state: rebuilt, effects } = rebuildSubject({
    subjectKey,
    lateMs,
    clockMs: state.clockMs,
    nowMs: input.receivedMs,
    history,
    recent: state.recent,
    sinceMs: subjectOf(state, subjectKey, lateMs).sinceMs,
    planOf: ({ seq, settings }) => plans.get(seq) ?? planOf(settings),
  })
  state.subjects.set(subjectKey, rebuilt)
  run.rebuilt = true
  for (const effect of effects) {
    if (effect.type.startsWith('episode')) note(run.found, effect as EpisodeEffect)
    else run.emit(effect)
  }
}
