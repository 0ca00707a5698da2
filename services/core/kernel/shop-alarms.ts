import { alarmReason, leadOf } from '../alarms/alarm-reason.ts'
import { outageReason } from '../alarms/outage.ts'
import { taskAdvice } from '../advise/task-advice.ts'
import { URGENCIES, type Alarm } from '../model/alarm.ts'
import type { Effect } from '../model/effect.ts'
import type { Episode } from '../model/episode.ts'
import type { Task } from '../model/task.ts'
import type { KernelState, OpenEpisode } from './state.ts'

export type Emit = (effect: Effect) => void

/** An alarm that is over is remembered this long, since a late reading may yet correct it. */
const REMEMBER_MS = 72 * 3_600_000

export function emitAlarm(alarm: Alarm, nowMs: number, emit: Emit): void {
  emit({ type: 'alarmChanged', alarm: { ...alarm, episodeIds: [...alarm.episodeIds] }, atMs: nowMs })
}

export function raiseAlarm(
  state: KernelState,
  entry: OpenEpisode,
  { rootKey, nowMs, emit }: { rootKey: string; nowMs: number; emit: Emit },
): void {
  const { shop } = state
  const { episode } = entry
  forgetOld(state, nowMs)
  const alarm: Alarm = {
    id: `alarm-${shop.nextAlarm++}`,
    rootKey,
    condition: episode.condition,
    subject: episode.subject,
    episodeIds: [episode.id],
    leadEpisodeId: episode.id,
    state: 'unacknowledged',
    ...alarmReason(asOfNow(state, episode, nowMs), { settings: state.settings, nowMs }),
    openedMs: episode.openedMs,
    returnedMs: null,
    acknowledged: null,
    revision: 'none',
  }
  shop.alarms.set(alarm.id, alarm)
  entry.alarmId = alarm.id
  emitAlarm(alarm, nowMs, emit)
  openTask(state, alarm, nowMs, emit)
}

export function joinAlarm(
  state: KernelState,
  alarm: Alarm,
  entry: OpenEpisode,
  { nowMs, emit }: { nowMs: number; emit: Emit },
): void {
  if (!alarm.episodeIds.includes(entry.episode.id)) alarm.episodeIds.push(entry.episode.id)
  entry.alarmId = alarm.id
  retell(state, alarm, { nowMs, emit })
}

/**
 * Says the reason of the weightiest episode that is still open. Where that is another trouble than before, its task
 * takes the place of the old; where it is more urgent, the alarm asks to be acknowledged again.
 */
export function retell(
  state: KernelState,
  alarm: Alarm,
  { nowMs, emit }: { nowMs: number; emit: Emit },
): void {
  const open = openEpisodesOf(state, alarm).map((e) => asOfNow(state, e, nowMs))
  const lead = leadOf(open, state.settings)
  if (!lead) return
  const context = { settings: state.settings, nowMs }
  const reason = outageReason(open, context) ?? alarmReason(lead, context)
  const other = lead.condition !== alarm.condition
  if (isMoreUrgent(reason, alarm) && alarm.state === 'acknowledged') {
    alarm.state = 'unacknowledged'
    alarm.acknowledged = null
  }
  Object.assign(alarm, reason)
  alarm.leadEpisodeId = lead.id
  alarm.condition = lead.condition
  alarm.subject = lead.subject
  emitAlarm(alarm, nowMs, emit)
  if (other) {
    endTasks(state, alarm, { nowMs, emit, taskState: 'overByItself' })
    openTask(state, alarm, nowMs, emit)
  }
}

/** How urgent a thing is depends on whether somebody is there now, not on whether somebody was when it began. */
function asOfNow({ plan }: KernelState, episode: Episode, nowMs: number): Episode {
  return { ...episode, shopClosed: !plan.calendar.isOpenAt(nowMs) }
}

/** The shop closed or opened: every open alarm is told anew, since its time to act has changed. */
export function retellAll(state: KernelState, nowMs: number, emit: Emit): void {
  for (const alarm of state.shop.alarms.values()) {
    if (alarm.state !== 'normal') retell(state, alarm, { nowMs, emit })
  }
}

function isMoreUrgent(a: Pick<Alarm, 'urgency'>, b: Pick<Alarm, 'urgency'>): boolean {
  return URGENCIES.indexOf(a.urgency) < URGENCIES.indexOf(b.urgency)
}

export function openEpisodesOf({ shop }: KernelState, alarm: Alarm): readonly Episode[] {
  return [...shop.episodes.values()].filter((e) => e.alarmId === alarm.id).map((e) => e.episode)
}

export interface Ending {
  readonly nowMs: number
  readonly emit: Emit
  readonly taskState: 'overByItself' | 'withdrawn'
}

/** An alarm is over when its last episode has closed; its task, if still open, is over by itself. */
export function settle(state: KernelState, alarm: Alarm, atMs: number, ending: Ending): void {
  if (alarm.state === 'normal') return
  if (openEpisodesOf(state, alarm).length > 0) return retell(state, alarm, ending)
  alarm.state = 'normal'
  alarm.returnedMs = atMs
  emitAlarm(alarm, ending.nowMs, ending.emit)
  endTasks(state, alarm, ending)
}

/** The past turned out other than told: what seemed over is not. */
export function reopenAlarm(state: KernelState, alarm: Alarm, nowMs: number, emit: Emit): void {
  alarm.state = 'unacknowledged'
  alarm.returnedMs = null
  alarm.acknowledged = null
  openTask(state, alarm, nowMs, emit)
}

function openTask({ shop, settings }: KernelState, alarm: Alarm, nowMs: number, emit: Emit): void {
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

function endTasks({ shop }: KernelState, alarm: Alarm, { nowMs, emit, taskState }: Ending): void {
  for (const task of shop.tasks.values()) {
    if (task.alarmId !== alarm.id || task.state !== 'open') continue
    task.state = taskState
    task.closedMs = nowMs
    shop.tasks.delete(task.id)
    emit({ type: 'taskChanged', task: { ...task }, atMs: nowMs })
  }
}

function forgetOld({ shop }: KernelState, nowMs: number): void {
  for (const [id, alarm] of shop.alarms) {
    if (alarm.returnedMs !== null && alarm.returnedMs < nowMs - REMEMBER_MS) shop.alarms.delete(id)
  }
}
