import type { Effect } from '../model/effect.ts'
import type { ActOrder, Input, InputOf, Order, Reading } from '../model/input.ts'
import { learnedKey } from '../model/learned.ts'
import type { SubjectHistory } from '../model/ports/records.ts'
import { subjectKey, subjectOfKey } from '../model/subject.ts'
import { initialNode } from './node-packs.ts'
import { countPack, noteReadingsAhead } from './node-stage.ts'
import { planOf, type Plan } from './plan.ts'
import { changeContext, concerns, rebuildSubject } from './rebuild.ts'
import {
  fireReceipts,
  followSensors,
  monitorWasDark,
  receiptDeadlineMs,
  sensorHeard,
} from './receipt-stage.ts'
import { applyEpisodes, fireShop, shopDeadlineMs, type EpisodeEffect } from './shop-stage.ts'
import {
  acknowledge,
  assignTask,
  deferTask,
  logDisposal,
  reportSymptom,
  signOff,
  startRoutine,
} from './shop-acts.ts'
import { noteInLog } from './log-entries.ts'
import { fireProofs, proofDeadlineMs } from './shop-proof.ts'
import { fireRoutines, routinesDeadlineMs } from './shop-routines.ts'
import { tellPeople } from './shop-telling.ts'
import { shelve, unshelve } from './shelf.ts'
import { takeClosing } from './shop-closing.ts'
import { publishMachines } from './publish-machines.ts'
import { endQuiet, planQuiet } from './quiet.ts'
import type { KernelState, NodeState } from './state.ts'
import {
  applyAct,
  applyReading,
  fireThrough,
  isHeard,
  isLate,
  subjectDeadlineMs,
  type SubjectSink,
} from './subject-stage.ts'
import { initialSubject, type SubjectEvent, type SubjectState } from './subject-state.ts'

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
  take(run, input)
  run.finish()
  return { effects: run.effects, rebuilt: run.rebuilt }
}

function take(run: Run, input: Input): void {
  const { state } = run
  switch (input.type) {
    case 'readings':
      return takeReadings(run, input)
    case 'nodeStatus':
      nodeOf(state, input.nodeId).online = input.online
      return
    case 'readingsAhead':
      return noteReadingsAhead(nodeAt(run, input.nodeId), input)
    case 'settings':
      return takeSettings(run, input)
    case 'learned':
      return takeLearned(run, input)
    case 'careLogged':
    case 'headChanged':
      noteInLog(input, run.emit)
      return takeAct(run, input)
    case 'capSaid':
    case 'servicingSaid':
    case 'errorStopSaid':
      return takeAct(run, input)
    case 'deadline':
      return takeDeadline(run, input.atMs)
    case 'monitorDark':
      return monitorWasDark(state, input, run.sink)
    case 'alarmAcknowledged':
      return acknowledge(state, input.alarmId, input.act, run.emit)
    case 'alarmShelved':
      return shelve(state, input, run.emit)
    case 'alarmUnshelved':
      return unshelve(state, input.alarmId, { nowMs: input.receivedMs, emit: run.emit })
    case 'taskSignedOff':
      return signOff(state, input.taskId, input, run.emit)
    case 'taskAssigned':
      return assignTask(state, input, run.emit)
    case 'taskDeferred':
      return deferTask(state, input, run.emit)
    case 'routineStarted':
      return startRoutine(state, input, run.emit)
    case 'symptomReported':
      return reportSymptom(state, input, run.emit)
    case 'disposalLogged':
      return logDisposal(input, run.emit)
    case 'closingBegun':
    case 'closingStepTicked':
    case 'closingFinished':
      return takeClosing(state, input)
    case 'quietPlanned':
      return planQuiet(state, input)
    case 'quietEnded':
      return endQuiet(state, input)
    case 'nozzleCheckLogged':
    case 'logEntriesNoted':
      return noteInLog(input, run.emit)
    case 'alarmSnoozed':
    case 'replyPathProven':
    case 'noticeTestAsked':
      return
  }
}

/** When the kernel wants the monitor's clock to wake it, or Infinity. */
export function nextDeadlineMs(state: KernelState): number {
  let soonest = Math.min(
    receiptDeadlineMs(state),
    shopDeadlineMs(state),
    routinesDeadlineMs(state),
    proofDeadlineMs(state),
  )
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
      quarterNoted: (quarter) => emit({ type: 'quarterNoted', quarter }),
    },
    finish: () => {
      const shopEffects = found.sort(byTimeThenSubject).map((f) => f.effect)
      for (const effect of shopEffects) emit(effect)
      applyEpisodes(state, shopEffects, input.receivedMs, emit)
      // Before planned quiet that is over is forgotten: a turn within it passes.
      fireRoutines(state, input, emit)
      fireShop(state, input, emit)
      fireProofs(state, Math.max(state.clockMs, input.receivedMs), emit)
      tellPeople(state, input, { effects, emit })
      const mayHaveChanged = input.type === 'settings' || effects.some((e) => e.type === 'alarmChanged')
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
  found.push({ atMs, subjectKey: subjectKey(episode.subject), effect })
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

function nodeAt({ state, sink }: Run, nodeId: string) {
  return { state, nodeId, node: nodeOf(state, nodeId), sink }
}

function takeReadings(run: Run, input: InputOf<'readings'>): void {
  const { state } = run
  const isHeardNow = input.imported !== true
  if (isHeardNow) nodeHeard(run, input)

  const oldestJudgedMs = input.receivedMs - JUDGED_WITHIN_MS
  const late: Late = new Map()
  let notJudged = 0
  for (const reading of input.readings) {
    if (isHeardNow) sensorHeard(state, reading.sensorId, input.receivedMs, run.sink)
    if (reading.atMs < oldestJudgedMs) notJudged++
    else judge(run, reading, late)
  }
  for (const [key, events] of late) rebuild(run, key, events)
  if (notJudged > 0) {
    run.emit({ type: 'readingsNotJudged', nodeId: input.nodeId, count: notJudged, atMs: input.receivedMs })
  }
}

/** By subject: what came late, and what of the same pack came after it and must wait for it. */
type Late = Map<string, SubjectEvent[]>

function nodeHeard(run: Run, { nodeId, receivedMs, pack }: InputOf<'readings'>): void {
  const at = nodeAt(run, nodeId)
  at.node.lastReceivedMs = Math.max(at.node.lastReceivedMs ?? -Infinity, receivedMs)
  if (pack) countPack(at, pack, receivedMs)
}

/** Applies a reading to every subject that hears it, or puts it with what came late. */
function judge({ state, sink }: Run, reading: Reading, late: Late): void {
  const hearers = state.plan.hearersOf.get(reading.sensorId)
  if (!hearers) return
  for (const key of hearers) {
    const context = state.plan.contexts.get(key)
    if (!context || !isHeard(context, reading)) continue
    const subject = subjectOf(state, key, reading.atMs)
    if (reading.atMs < subject.sinceMs) continue
    const waiting = late.get(key)
    if (waiting) waiting.push(reading)
    else if (isLate(subject, reading.atMs, reading.sensorId)) late.set(key, [reading])
    else applyReading(subject, reading, context, sink)
  }
}

function subjectOf(state: KernelState, key: string, sinceMs: number): SubjectState {
  const known = state.subjects.get(key)
  if (known) return known
  const subject = initialSubject(subjectOfKey(key).kind, sinceMs)
  state.subjects.set(key, subject)
  return subject
}

function takeAct(run: Run, act: ActOrder): void {
  const { state, sink } = run
  for (const [key, context] of state.plan.contexts) {
    if (!concerns(act, context)) continue
    const subject = subjectOf(state, key, act.atMs)
    if (isLate(subject, act.atMs, '')) rebuild(run, key, [act])
    else applyAct(subject, act, context, sink)
  }
}

function takeSettings(run: Run, input: InputOf<'settings'>): void {
  const { state } = run
  const sameHours =
    JSON.stringify([input.settings.site.timeZone, input.settings.hours]) ===
    JSON.stringify([state.settings.site.timeZone, state.settings.hours])
  state.settings = input.settings
  state.settingsSeq = input.seq
  changePlan(run, input, planOf(input.settings, state.learned, sameHours ? state.plan.calendar : undefined))
  followSensors(state, input.receivedMs, run.sink)
}

function takeLearned(run: Run, input: InputOf<'learned'>): void {
  const { state } = run
  const key = learnedKey(input.learned)
  if (input.waiting) {
    state.waiting.set(key, input.learned)
    return
  }
  state.waiting.delete(key)
  state.learned = new Map([...state.learned, [key, input.learned]])
  changePlan(run, input, planOf(state.settings, state.learned, state.plan.calendar))
}

function changePlan(run: Run, order: Order, after: Plan): void {
  const { state, sink } = run
  const before = state.plan
  state.plan = after
  for (const key of new Set([...state.subjects.keys(), ...after.contexts.keys()])) {
    const subject = subjectOf(state, key, order.atMs)
    const contexts = { before: before.contexts.get(key), after: after.contexts.get(key) }
    if (isLate(subject, order.atMs, '')) rebuildFrom(run, key, order.atMs)
    else changeContext(subject, order, contexts, sink)
    if (!contexts.after) state.subjects.delete(key)
  }
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

function rebuild(run: Run, key: string, late: readonly SubjectEvent[]): void {
  const firstMs = late.reduce((first, { atMs }) => Math.min(first, atMs), Infinity)
  tellAnew(run, key, { firstMs, late })
}

/** The plan changed in the subject's past: only the book of record can tell it anew. */
function rebuildFrom(run: Run, key: string, firstMs: number): void {
  tellAnew(run, key, { firstMs, late: null })
}

function tellAnew(
  run: Run,
  key: string,
  from: { firstMs: number; late: readonly SubjectEvent[] | null },
): void {
  const { state, input, history } = run
  const rebuilt = rebuildSubject({
    subjectKey: key,
    state: subjectOf(state, key, from.firstMs),
    ...from,
    clockMs: state.clockMs,
    nowMs: input.receivedMs,
    history,
    plan: state.plan,
  })
  state.subjects.set(key, rebuilt.state)
  run.rebuilt ||= rebuilt.fromRecords
  for (const effect of rebuilt.effects) {
    if (isEpisodeEffect(effect)) note(run.found, effect)
    else run.emit(effect)
  }
}

function isEpisodeEffect(effect: Effect): effect is EpisodeEffect {
  return effect.type.startsWith('episode')
}
