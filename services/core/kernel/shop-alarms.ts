import { alarmReason, leadOf } from '../alarms/alarm-reason.ts'
import { isInQuiet } from '../alarms/life-cycle.ts'
import { outageReason } from '../alarms/outage.ts'
import { aroseTimes, isRestless, isSeenStill, SETTLED_AFTER_MS } from '../alarms/re-alarm.ts'
import { isMoreUrgent } from '../alarms/urgency.ts'
import type { Alarm } from '../model/alarm.ts'
import type { Effect } from '../model/effect.ts'
import type { Episode } from '../model/episode.ts'
import { live, memoryOf } from './alarm-life.ts'
import type { CoveringQuiet } from './quiet.ts'
import { endAlarmTasks, keepTaskUrgency, openAlarmTask } from './shop-tasks.ts'
import type { KernelState, OpenEpisode } from './state.ts'

export type Emit = (effect: Effect) => void

export interface Telling {
  readonly nowMs: number
  readonly emit: Emit
}

/** An alarm that is over is remembered this long, since a late reading may yet correct it. */
const REMEMBER_MS = 72 * 3_600_000
/** An alarm that comes and goes for weeks remembers this many of its episodes. */
const MOST_EPISODES = 200

export function emitAlarm(alarm: Alarm, nowMs: number, emit: Emit): void {
  emit({ type: 'alarmChanged', alarm: { ...alarm, episodeIds: [...alarm.episodeIds] }, atMs: nowMs })
}

/** A new alarm with its task; in planned quiet it is on record, and no more. */
export function raiseAlarm(
  state: KernelState,
  entry: OpenEpisode,
  { rootKey, quiet, ...telling }: Telling & { rootKey: string; quiet: CoveringQuiet | null },
): void {
  const { shop } = state
  const { episode } = entry
  forgetOld(state, telling.nowMs)
  const alarm: Alarm = {
    id: `alarm-${shop.nextAlarm++}`,
    rootKey,
    condition: episode.condition,
    subject: episode.subject,
    episodeIds: [],
    leadEpisodeId: episode.id,
    state: 'normal',
    ...alarmReason(asOfNow(state, episode, telling.nowMs), {
      settings: state.settings,
      nowMs: telling.nowMs,
    }),
    openedMs: episode.openedMs,
    // So far it does not hold: it arises below, as every other time.
    returnedMs: episode.openedMs,
    activations: 0,
    acknowledged: null,
    shelved: null,
    quiet: null,
    revision: 'none',
  }
  shop.alarms.set(alarm.id, alarm)
  joinAlarm(state, alarm, entry, { quiet, ...telling })
}

/** An episode comes to an alarm: one that holds already, or one that arises again by it. */
export function joinAlarm(
  state: KernelState,
  alarm: Alarm,
  entry: OpenEpisode,
  { quiet = null, nowMs, emit }: Telling & { quiet?: CoveringQuiet | null },
): void {
  entry.alarmId = alarm.id
  remember(state, alarm, entry.episode.id)
  const before = { ...alarm }
  const { heldReturn } = memoryOf(state, alarm)
  const arises = before.returnedMs !== null || heldReturn !== null
  const { isOther } = sayReason(state, alarm, nowMs)
  if (arises) arise(state, alarm, { before, entry, quiet, nowMs })
  grow(state, alarm, { before, nowMs })
  see(state, alarm)
  emitAlarm(alarm, nowMs, emit)
  tendTask(state, alarm, { wanted: before.returnedMs !== null, isOther, nowMs, emit })
}

interface Arising {
  readonly before: Alarm
  readonly entry: OpenEpisode
  readonly quiet: CoveringQuiet | null
  readonly nowMs: number
}

function arise(state: KernelState, alarm: Alarm, { before, entry, quiet, nowMs }: Arising): void {
  const memory = memoryOf(state, alarm)
  memory.aroseMs = aroseTimes(memory.aroseMs, nowMs)
  memory.heldReturn = null
  if (before.revision === 'withdrawn') alarm.revision = 'none'
  alarm.activations++
  alarm.openedMs = entry.episode.openedMs
  if (quiet) {
    live(state, alarm, { type: 'aroseInQuiet', as: quiet.as }, nowMs)
    if (isInQuiet(alarm)) alarm.quiet = quiet.told
  } else {
    live(state, alarm, { type: 'arose', seen: isSeenStill(before, alarm, nowMs) }, nowMs)
  }
  alarm.returnedMs = null
}

/** What grew more urgent asks to be acknowledged again; what else cannot wait does not stay on the shelf. */
function grow(state: KernelState, alarm: Alarm, { before, nowMs }: { before: Alarm; nowMs: number }): void {
  if (isMoreUrgent(alarm, before)) live(state, alarm, { type: 'grewUrgent' }, nowMs)
  const outgrown =
    alarm.urgency === 'now' && alarm.shelved !== null && alarm.shelved.condition !== alarm.condition
  if (outgrown && alarm.returnedMs === null) live(state, alarm, { type: 'unshelved' }, nowMs)
}

function see(state: KernelState, alarm: Alarm): void {
  if (alarm.state === 'unacknowledged' && alarm.urgency === 'now') memoryOf(state, alarm).called = true
}

function remember({ shop }: KernelState, alarm: Alarm, episodeId: string): void {
  if (!alarm.episodeIds.includes(episodeId)) alarm.episodeIds.push(episodeId)
  if (alarm.episodeIds.length <= MOST_EPISODES) return
  const oldest = alarm.episodeIds.find((id) => !shop.episodes.has(id))
  alarm.episodeIds = alarm.episodeIds.filter((id) => id !== oldest)
}

/**
 * Says the reason of the weightiest episode that is still open. Where that is another trouble than before, its task
 * takes the place of the old; where it is more urgent, the alarm asks to be acknowledged again.
 */
export function retell(state: KernelState, alarm: Alarm, { nowMs, emit }: Telling): void {
  if (openEpisodesOf(state, alarm).length === 0) return
  const before = { ...alarm }
  const { isOther } = sayReason(state, alarm, nowMs)
  grow(state, alarm, { before, nowMs })
  see(state, alarm)
  emitAlarm(alarm, nowMs, emit)
  tendTask(state, alarm, { wanted: false, isOther, nowMs, emit })
}

/** It was on record and told to nobody; now it is told, with its task. */
export function tellAnew(state: KernelState, alarm: Alarm, { nowMs, emit }: Telling): void {
  sayReason(state, alarm, nowMs)
  see(state, alarm)
  emitAlarm(alarm, nowMs, emit)
  giveTask(state, alarm, nowMs, emit)
}

function sayReason(state: KernelState, alarm: Alarm, nowMs: number): { isOther: boolean } {
  const open = openEpisodesOf(state, alarm).map((e) => asOfNow(state, e, nowMs))
  const context = { settings: state.settings, nowMs }
  const lead = leadOf(open, context)
  if (!lead) return { isOther: false }
  const isOther = lead.condition !== alarm.condition
  Object.assign(alarm, outageReason(open, context) ?? alarmReason(lead, context))
  alarm.leadEpisodeId = lead.id
  alarm.condition = lead.condition
  alarm.subject = lead.subject
  return { isOther }
}

/** How urgent a thing is depends on whether somebody is there now, not on whether somebody was when it began. */
function asOfNow({ plan }: KernelState, episode: Episode, nowMs: number): Episode {
  return { ...episode, shopClosed: !plan.calendar.isOpenAt(nowMs) }
}

/** The shop closed or opened: every open alarm is told anew, since its time to act has changed. */
export function retellAll(state: KernelState, telling: Telling): void {
  for (const alarm of state.shop.alarms.values()) {
    if (alarm.state !== 'normal') retell(state, alarm, telling)
  }
}

export function openEpisodesOf({ shop }: KernelState, alarm: Alarm): readonly Episode[] {
  return [...shop.episodes.values()].filter((e) => e.alarmId === alarm.id).map((e) => e.episode)
}

/**
 * An episode of the alarm has closed, at `atMs`. With the last of them its condition is over, and its task, if still
 * open, is over by itself; a restless one is waited for first (REALARM-3).
 */
export function settle(state: KernelState, alarm: Alarm, atMs: number, telling: Telling): void {
  if (alarm.returnedMs !== null) return
  if (openEpisodesOf(state, alarm).length > 0) return retell(state, alarm, telling)
  const memory = memoryOf(state, alarm)
  if (memory.heldReturn) return
  const waits = alarm.state === 'unacknowledged' || alarm.state === 'acknowledged'
  if (waits && isRestless(memory.aroseMs, telling.nowMs)) {
    memory.heldReturn = { atMs, untilMs: telling.nowMs + SETTLED_AFTER_MS }
    return
  }
  comeBack(state, alarm, atMs, telling)
}

/** The condition is over for good, as far as anybody can know. */
export function comeBack(state: KernelState, alarm: Alarm, atMs: number, telling: Telling): void {
  memoryOf(state, alarm).heldReturn = null
  live(state, alarm, { type: 'returned' }, telling.nowMs)
  alarm.returnedMs = atMs
  emitAlarm(alarm, telling.nowMs, telling.emit)
  endTasks(state, alarm, { ...telling, taskState: 'overByItself' })
}

/** Not one of its episodes ever was. */
export function takeBack(state: KernelState, alarm: Alarm, telling: Telling): void {
  const memory = memoryOf(state, alarm)
  memory.heldReturn = null
  live(state, alarm, { type: 'withdrawn', told: memory.called }, telling.nowMs)
  if (alarm.state === 'returnedUnacknowledged') alarm.acknowledged = null
  alarm.returnedMs ??= telling.nowMs
  emitAlarm(alarm, telling.nowMs, telling.emit)
  endTasks(state, alarm, { ...telling, taskState: 'withdrawn' })
}

interface Tending extends Telling {
  /** It arose: there is something to do. */
  readonly wanted: boolean
  /** It is another trouble than it was, which asks for other steps. */
  readonly isOther: boolean
}

function tendTask(state: KernelState, alarm: Alarm, { wanted, isOther, nowMs, emit }: Tending): void {
  if (isInQuiet(alarm)) return
  if (wanted) return giveTask(state, alarm, nowMs, emit)
  if (!isOther) return keepTaskUrgency(state, alarm, { nowMs, emit })
  endTasks(state, alarm, { nowMs, emit, taskState: 'overByItself' })
  memoryOf(state, alarm).endedTask = null
  openAlarmTask(state, alarm, { nowMs, emit })
}

/** The task that was over by itself comes back where the same trouble does; else a new one, or one that is open. */
function giveTask(state: KernelState, alarm: Alarm, nowMs: number, emit: Emit): void {
  const memory = memoryOf(state, alarm)
  const { endedTask } = memory
  memory.endedTask = null
  const again = endedTask?.condition === alarm.condition ? endedTask.task : null
  openAlarmTask(state, alarm, { again, nowMs, emit })
}

function endTasks(
  state: KernelState,
  alarm: Alarm,
  ending: Telling & { taskState: 'overByItself' | 'withdrawn' },
): void {
  for (const task of endAlarmTasks(state, alarm, ending)) {
    if (ending.taskState === 'overByItself')
      memoryOf(state, alarm).endedTask = { task: { ...task }, condition: alarm.condition }
  }
}

function forgetOld({ shop }: KernelState, nowMs: number): void {
  for (const [id, { state, returnedMs }] of shop.alarms) {
    if (state !== 'normal' || returnedMs === null || returnedMs >= nowMs - REMEMBER_MS) continue
    shop.alarms.delete(id)
    shop.memories.delete(id)
  }
}
