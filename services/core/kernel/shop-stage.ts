import { rootKeyOf } from '../alarms/alarm-reason.ts'
import { isOneOutage, OUTAGE_ROOT } from '../alarms/outage.ts'
import { isExplainedBy } from '../alarms/suppression.ts'
import { affectedMachines } from '../assess/affected-machines.ts'
import type { Alarm } from '../model/alarm.ts'
import type { Effect } from '../model/effect.ts'
import type { Episode } from '../model/episode.ts'
import type { Input } from '../model/input.ts'
import { forgetOverQuiet, isQuietFor, quietEndMs } from './quiet.ts'
import { emitAlarm, joinAlarm, raiseAlarm, reopenAlarm, retellAll, settle, type Emit } from './shop-alarms.ts'
import type { KernelState, OpenEpisode } from './state.ts'

export type EpisodeEffect = Extract<Effect, { type: `episode${string}` }>

/**
 * Turns what the subjects found into alarms and tasks; it alone makes either.
 *
 * SHOP-1 an opened episode joins the open alarm of its root, or of what explains it, or raises a new one with its task.
 * SHOP-2 an alarm is over when its last episode has closed; its task, if still open, is over by itself.
 * SHOP-3 what people were told is never unsaid: a corrected or withdrawn episode marks its alarm so.
 * SHOP-4 a task that a person signed off stays as signed.
 * SHOP-5 lost power waits for `outageHoldMs`: machines that lost it together, or with the mains, are one outage.
 * SHOP-6 an alarm tells the weightiest of its open episodes; one that grew more urgent asks to be acknowledged again.
 * SHOP-7 at closing and at opening every open alarm is told anew, since how urgent it is depends on who is there.
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
        open(state, effect.episode, nowMs, emit)
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

/** When a wait or a planned quiet is over, the shop closes or opens over open alarms, or somebody is to be told. */
export function shopDeadlineMs(state: KernelState): number {
  let soonest = Math.min(
    quietEndMs(state),
    state.shop.retellMs ?? Infinity,
    state.shop.telling.dueMs ?? Infinity,
  )
  for (const { alarmId, holdUntilMs } of state.shop.episodes.values()) {
    if (alarmId === null && holdUntilMs > state.clockMs && holdUntilMs < soonest) soonest = holdUntilMs
  }
  return soonest
}

/** Time passed, or quiet ended: what waited and has no more reason to is told. */
export function fireShop(state: KernelState, input: Input, emit: Emit): void {
  const nowMs = Math.max(state.clockMs, input.receivedMs)
  if (quietEndMs(state) <= state.clockMs) forgetOverQuiet(state, state.clockMs)
  retellAtChange(state, nowMs, emit)
  for (const entry of state.shop.episodes.values()) {
    if (entry.alarmId === null) place(state, entry, nowMs, emit)
  }
}

function retellAtChange(state: KernelState, nowMs: number, emit: Emit): void {
  const { shop, plan } = state
  if (shop.retellMs !== null && shop.retellMs <= nowMs) {
    shop.retellMs = null
    retellAll(state, nowMs, emit)
  }
  if (shop.episodes.size === 0) shop.retellMs = null
  else shop.retellMs ??= plan.calendar.nextChangeAfter(nowMs)
}

function open(state: KernelState, episode: Episode, nowMs: number, emit: Emit): void {
  const held = episode.condition === 'powerLost' ? nowMs + state.settings.limits.outageHoldMs : nowMs
  const entry: OpenEpisode = { episode, alarmId: null, holdUntilMs: held }
  state.shop.episodes.set(episode.id, entry)
  place(state, entry, nowMs, emit)
}

function place(state: KernelState, entry: OpenEpisode, nowMs: number, emit: Emit): void {
  const { shop, settings } = state
  const { episode } = entry
  if (isQuietFor(state, episode, nowMs)) return
  const explaining = explainingAlarm(state, episode)
  if (explaining) return joinAlarm(state, explaining, entry, { nowMs, emit })
  const rootKey = rootOf(state, entry)
  const joined = [...shop.alarms.values()].find((a) => a.rootKey === rootKey && a.state !== 'normal')
  if (joined) return joinAlarm(state, joined, entry, { nowMs, emit })
  if (nowMs < entry.holdUntilMs) return
  raiseAlarm(state, entry, { rootKey, nowMs, emit })
  if (rootKey !== OUTAGE_ROOT || settings.machines.length === 0) return
  // Those that wait for the same outage need wait no longer.
  for (const other of shop.episodes.values()) {
    if (other.alarmId === null && isOneOutage(episode, other.episode, settings))
      place(state, other, nowMs, emit)
  }
}

/** The open alarm of something that explains this episode on the same machine, or in the whole shop. */
function explainingAlarm({ shop, settings }: KernelState, episode: Episode): Alarm | undefined {
  const machines = affectedMachines(episode.subject, settings)
  for (const other of shop.episodes.values()) {
    if (other.alarmId === null || other.episode.id === episode.id) continue
    if (!isExplainedBy(episode.condition, other.episode.condition)) continue
    const shared = affectedMachines(other.episode.subject, settings).some((m) => machines.includes(m))
    if (shared || other.episode.subject.kind === 'site') return shop.alarms.get(other.alarmId)
  }
  return undefined
}

function rootOf({ shop, settings }: KernelState, { episode }: OpenEpisode): string {
  for (const other of shop.episodes.values()) {
    if (other.episode.id !== episode.id && isOneOutage(episode, other.episode, settings)) return OUTAGE_ROOT
  }
  return rootKeyOf(episode, settings)
}

function close(state: KernelState, episode: Episode, nowMs: number, emit: Emit): void {
  const alarm = alarmOfOpen(state, episode.id)
  state.shop.episodes.delete(episode.id)
  if (alarm) settle(state, alarm, episode.closedMs ?? nowMs, { nowMs, emit, taskState: 'overByItself' })
}

function alarmOfOpen({ shop }: KernelState, episodeId: string): Alarm | undefined {
  return shop.alarms.get(shop.episodes.get(episodeId)?.alarmId ?? '')
}

function correct(state: KernelState, previousId: string, episode: Episode, nowMs: number, emit: Emit): void {
  const { shop } = state
  const waiting = shop.episodes.get(previousId)
  shop.episodes.delete(previousId)
  const alarm = [...shop.alarms.values()].find((a) => a.episodeIds.includes(previousId))
  if (!alarm) {
    if (episode.closedMs !== null) return
    const holdUntilMs = waiting?.holdUntilMs ?? nowMs
    const entry: OpenEpisode = { episode, alarmId: null, holdUntilMs }
    shop.episodes.set(episode.id, entry)
    return place(state, entry, nowMs, emit)
  }
  alarm.episodeIds = alarm.episodeIds.map((id) => (id === previousId ? episode.id : id))
  if (alarm.leadEpisodeId === previousId) alarm.leadEpisodeId = episode.id
  alarm.revision = 'corrected'
  if (episode.closedMs === null) {
    shop.episodes.set(episode.id, { episode, alarmId: alarm.id, holdUntilMs: nowMs })
    if (alarm.state === 'normal') reopenAlarm(state, alarm, nowMs, emit)
  }
  emitAlarm(alarm, nowMs, emit)
  settle(state, alarm, episode.closedMs ?? nowMs, { nowMs, emit, taskState: 'overByItself' })
}

function withdraw(state: KernelState, episodeId: string, nowMs: number, emit: Emit): void {
  const { shop } = state
  const alarm = [...shop.alarms.values()].find((a) => a.episodeIds.includes(episodeId))
  shop.episodes.delete(episodeId)
  if (!alarm) return
  const others = alarm.episodeIds.filter((id) => id !== episodeId)
  alarm.revision = others.length === 0 ? 'withdrawn' : 'corrected'
  if (alarm.state === 'normal') emitAlarm(alarm, nowMs, emit)
  else {
    const taskState = others.length === 0 ? 'withdrawn' : 'overByItself'
    settle(state, alarm, nowMs, { nowMs, emit, taskState })
  }
}
