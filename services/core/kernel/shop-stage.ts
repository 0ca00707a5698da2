import { alarmReason, rootKeyOf } from '../alarms/alarm-reason.ts'
import { machineState } from '../advise/machine-state.ts'
import { taskAdvice } from '../advise/task-advice.ts'
import type { Act } from '../model/act.ts'
import type { Alarm } from '../model/alarm.ts'
import type { Effect } from '../model/effect.ts'
import type { Episode } from '../model/episode.ts'
import type { Task } from '../model/task.ts'
import type { KernelState } from './state.ts'

export type EpisodeEffect = Extract<Effect, { type: `episode${string}` }>
type Emit = (effect: Effect) => void

/** An alarm that is over is remembered this long, since a late reading may yet correct it. */
const REMEMBER_MS = 72 * 3_600_000

/**
 * Turns what the subjects found into alarms and tasks; it alone makes either.
 *
 * SHOP-1 an opened episode joins the open alarm of its root, or raises a new one with its task.
 * SHOP-2 an alarm is over when its last episode has closed; its task, if still open, is over by itself.
 * SHOP-3 what people were told is never unsaid: a corrected or withdrawn episode marks its alarm so.
 * SHOP-4 a task that a person signed off stays as signed.
 */
export function applyEpisodes(
  state: KernelState,
  effects: readonly EpisodeEffect[],
  nowMs: number,
  emit: Emit,
): void {
  for (const effect of effects) {
    switch (effect.type) {
      case 'episodeOpened':
        raise(state, effect.episode, nowMs, emit)
        break
      case 'episodeClosed':
        close(state, effect.episode, nowMs, emit)
        break
      case 'episodeCorrected':
        correct(state, effect.previousId, effect.episode, nowMs, emit)
        break
      case 'episodeWithdrawn':
        withdraw(state, effect.episodeId, nowMs, emit)
        break
    }
  }
}

function raise(state: KernelState, episode: Episode, nowMs: number, emit: Emit): void {
  const { shop, settings } = state
  const rootKey = rootKeyOf(episode)
  const joined = [...shop.alarms.values()].find((a) => a.rootKey === rootKey && a.state !== 'normal')
  if (joined) {
    joined.episodeIds.push(episode.id)
    shop.openEpisodes.set(episode.id, joined.id)
    emitAlarm(joined, nowMs, emit)
    return
  }
  forgetOld(state, nowMs)
  const alarm: Alarm = {
    id: `alarm-${shop.nextAlarm++}`,
    rootKey,
    condition: episode.condition,
    subject: episode.subject,
    episodeIds: [episode.id],
    state: 'unacknowledged',
    ...alarmReason(episode, { settings, nowMs }),
    openedMs: episode.openedMs,
    returnedMs: null,
    acknowledged: null,
    revision: 'none',
  }
  shop.alarms.set(alarm.id, alarm)
  shop.openEpisodes.set(episode.id, alarm.id)
  emitAlarm(alarm, nowMs, emit)
  openTask(state, alarm, nowMs, emit)
}

function openTask(state: KernelState, alarm: Alarm, nowMs: number, emit: Emit): void {
  const { shop, settings } = state
  const task: Task = {
    id: `task-${shop.nextTask++}`,
    alarmId: alarm.id,
    subject: alarm.subject,
    ...taskAdvice(alarm, settings),
    urgency: alarm.urgency,
    state: 'open',
    openedMs: nowMs,
    closedMs: null,
    signedOff: null,
  }
  shop.tasks.set(task.id, task)
  emit({ type: 'taskChanged', task: { ...task }, atMs: nowMs })
}

function close(state: KernelState, episode: Episode, nowMs: number, emit: Emit): void {
  const { shop } = state
  const alarm = shop.alarms.get(shop.openEpisodes.get(episode.id) ?? '')
  shop.openEpisodes.delete(episode.id)
  if (alarm) returnIfOver(state, alarm, episode.closedMs ?? nowMs, { nowMs, emit, taskState: 'overByItself' })
}

function correct(state: KernelState, previousId: string, episode: Episode, nowMs: number, emit: Emit): void {
  const { shop } = state
  const alarm = [...shop.alarms.values()].find((a) => a.episodeIds.includes(previousId))
  if (!alarm) return episode.closedMs === null ? raise(state, episode, nowMs, emit) : undefined
  alarm.episodeIds = alarm.episodeIds.map((id) => (id === previousId ? episode.id : id))
  alarm.revision = 'corrected'
  shop.openEpisodes.delete(previousId)
  if (episode.closedMs === null) {
    shop.openEpisodes.set(episode.id, alarm.id)
    if (alarm.state === 'normal') reopen(state, alarm, nowMs, emit)
  }
  emitAlarm(alarm, nowMs, emit)
  if (episode.closedMs !== null)
    returnIfOver(state, alarm, episode.closedMs, { nowMs, emit, taskState: 'overByItself' })
}

/** The past turned out other than told: what seemed over is not. */
function reopen(state: KernelState, alarm: Alarm, nowMs: number, emit: Emit): void {
  alarm.state = 'unacknowledged'
  alarm.returnedMs = null
  alarm.acknowledged = null
  openTask(state, alarm, nowMs, emit)
}

function withdraw(state: KernelState, episodeId: string, nowMs: number, emit: Emit): void {
  const { shop } = state
  const alarm = [...shop.alarms.values()].find((a) => a.episodeIds.includes(episodeId))
  shop.openEpisodes.delete(episodeId)
  if (!alarm) return
  const others = alarm.episodeIds.filter((id) => id !== episodeId)
  alarm.revision = others.length === 0 ? 'withdrawn' : 'corrected'
  if (alarm.state === 'normal') emitAlarm(alarm, nowMs, emit)
  else
    returnIfOver(state, alarm, nowMs, {
      nowMs,
      emit,
      taskState: others.length === 0 ? 'withdrawn' : 'overByItself',
    })
}

interface Ending {
  readonly nowMs: number
  readonly emit: Emit
  readonly taskState: 'overByItself' | 'withdrawn'
}

function returnIfOver(
  { shop }: KernelState,
  alarm: Alarm,
  atMs: number,
  { nowMs, emit, taskState }: Ending,
): void {
  if (alarm.state === 'normal' || alarm.episodeIds.some((id) => shop.openEpisodes.has(id))) return
  alarm.state = 'normal'
  alarm.returnedMs = atMs
  emitAlarm(alarm, nowMs, emit)
  for (const task of shop.tasks.values()) {
    if (task.alarmId !== alarm.id || task.state !== 'open') continue
    task.state = taskState
    task.closedMs = nowMs
    shop.tasks.delete(task.id)
    emit({ type: 'taskChanged', task: { ...task }, atMs: nowMs })
  }
}

export function acknowledge({ shop }: KernelState, alarmId: string, act: Act, emit: Emit): void {
  const alarm = shop.alarms.get(alarmId)
  if (alarm?.state !== 'unacknowledged') return
  alarm.state = 'acknowledged'
  alarm.acknowledged = act
  emitAlarm(alarm, act.atMs, emit)
}

/** A signed-off task is done; whoever did it has also seen its alarm, which stays until the world is well. */
export function signOff(
  state: KernelState,
  taskId: string,
  { act, note }: { act: Act; note: string },
  emit: Emit,
): void {
  const task = state.shop.tasks.get(taskId)
  if (task?.state !== 'open') return
  task.state = 'signedOff'
  task.closedMs = act.atMs
  task.signedOff = { ...act, note }
  state.shop.tasks.delete(taskId)
  emit({ type: 'taskChanged', task: { ...task }, atMs: act.atMs })
  acknowledge(state, task.alarmId, act, emit)
}

/** Publishes the state of each machine that is not as it was last published. */
export function publishMachines(
  { shop, settings }: KernelState,
  seq: number,
  nowMs: number,
  emit: Emit,
): void {
  for (const machine of settings.machines) {
    const state = machineState(machine, shop.alarms.values(), settings)
    const text = JSON.stringify(state)
    if (shop.published.get(machine.id) === text) continue
    shop.published.set(machine.id, text)
    const message = {
      idempotencyKey: `machineState|${machine.id}|${seq}`,
      channel: 'machineState' as const,
      replaceKey: `machineState|${machine.id}`,
      body: { ...state, atMs: nowMs },
    }
    emit({ type: 'messageQueued', message, atMs: nowMs })
  }
}

function forgetOld({ shop }: KernelState, nowMs: number): void {
  for (const [id, alarm] of shop.alarms) {
    if (alarm.returnedMs !== null && alarm.returnedMs < nowMs - REMEMBER_MS) shop.alarms.delete(id)
  }
}

function emitAlarm(alarm: Alarm, nowMs: number, emit: Emit): void {
  emit({ type: 'alarmChanged', alarm: { ...alarm, episodeIds: [...alarm.episodeIds] }, atMs: nowMs })
}
