import { floodAt, floodEndMs } from '../alarms/flood.ts'
import { isOneOutage, OUTAGE_ROOT } from '../alarms/outage.ts'
import { lastsTooLongMs } from '../alarms/urgency.ts'
import type { Alarm } from '../model/alarm.ts'
import type { Effect } from '../model/effect.ts'
import type { Episode } from '../model/episode.ts'
import type { Input } from '../model/input.ts'
import { memoryOf } from './alarm-life.ts'
import { coveringQuiet, forgetOverQuiet, quietEndMs, type CoveringQuiet } from './quiet.ts'
import { endOverShelves, shelfEndMs } from './shelf.ts'
import {
  comeBack,
  emitAlarm,
  joinAlarm,
  raiseAlarm,
  retell,
  retellAll,
  settle,
  takeBack,
  type Emit,
  type Telling,
} from './shop-alarms.ts'
import { endOverQuiets } from './shop-quiet.ts'
import { explainingAlarm, homeOf, rootOf } from './shop-roots.ts'
import type { KernelState, OpenEpisode } from './state.ts'

export type EpisodeEffect = Extract<Effect, { type: `episode${string}` }>

/**
 * Turns what the subjects found into alarms and tasks; it alone makes either.
 *
 * SHOP-1 an opened episode joins the open alarm of its root, or of what explains it, or raises a new one with its task.
 * SHOP-2 the condition of an alarm is over when its last episode has closed; its task, if still open, is over by itself.
 *        The alarm itself goes by the rules of its life (LIFE-1 to 12), and of re-alarms (REALARM-1 to 3).
 * SHOP-3 what people were told is never unsaid: a corrected or withdrawn episode marks its alarm so.
 * SHOP-4 a task that a person signed off stays as signed.
 * SHOP-5 lost power waits for `outageHoldMs`: machines that lost it together, or with the mains, are one outage.
 * SHOP-6 an alarm tells the weightiest of its open episodes; one that grew more urgent asks to be acknowledged again.
 * SHOP-7 at closing and at opening every open alarm is told anew, since how urgent it is depends on who is there.
 * SHOP-8 an outage of the mains that lasts while the shop is closed is told anew when it has lasted too long to wait.
 */
export function applyEpisodes(
  state: KernelState,
  effects: readonly EpisodeEffect[],
  nowMs: number,
  emit: Emit,
): void {
  const telling = { nowMs, emit }
  for (const effect of effects) {
    switch (effect.type) {
      case 'episodeOpened':
        open(state, effect.episode, telling)
        break
      case 'episodeClosed':
        close(state, effect.episode, telling)
        break
      case 'episodeCorrected':
        correct(state, effect.previousId, effect.episode, telling)
        break
      case 'episodeWithdrawn':
        withdraw(state, effect.episodeId, telling)
        break
    }
  }
}

/** When a wait, shelf, flood or quiet is over, the shop closes or opens over open alarms, or somebody is to be told. */
export function shopDeadlineMs(state: KernelState): number {
  const { shop, clockMs } = state
  let soonest = Math.min(
    quietEndMs(state),
    shelfEndMs(state),
    floodEndMs(shop.flood),
    shop.retellMs ?? Infinity,
    shop.telling.dueMs ?? Infinity,
  )
  for (const { heldReturn } of shop.memories.values()) {
    soonest = Math.min(soonest, heldReturn?.untilMs ?? Infinity)
  }
  for (const { alarmId, holdUntilMs, episode } of shop.episodes.values()) {
    const atMs = alarmId === null ? holdUntilMs : lastsTooLongMs(episode, state.settings)
    if (atMs > clockMs && atMs < soonest) soonest = atMs
  }
  return soonest
}

/** Time passed, or quiet ended: what waited and has no more reason to is told. */
export function fireShop(state: KernelState, input: Input, emit: Emit): void {
  const telling = { nowMs: Math.max(state.clockMs, input.receivedMs), emit }
  const { shop } = state
  shop.flood = floodAt(shop.flood, telling.nowMs)
  if (quietEndMs(state) <= state.clockMs) forgetOverQuiet(state, state.clockMs)
  endOverQuiets(state, telling)
  endOverShelves(state, telling)
  endHeldReturns(state, telling)
  retellAtChange(state, telling)
  retellLasting(state, telling)
  for (const entry of shop.episodes.values()) {
    if (entry.alarmId === null) place(state, entry, telling)
  }
}

function endHeldReturns(state: KernelState, telling: Telling): void {
  for (const alarm of state.shop.alarms.values()) {
    const held = state.shop.memories.get(alarm.id)?.heldReturn
    if (held && held.untilMs <= telling.nowMs) comeBack(state, alarm, held.atMs, telling)
  }
}

function retellAtChange(state: KernelState, telling: Telling): void {
  const { shop, plan } = state
  if (shop.retellMs !== null && shop.retellMs <= telling.nowMs) {
    shop.retellMs = null
    retellAll(state, telling)
  }
  if (shop.episodes.size === 0) shop.retellMs = null
  else shop.retellMs ??= plan.calendar.nextChangeAfter(telling.nowMs)
}

function retellLasting(state: KernelState, telling: Telling): void {
  const { shop, plan, settings } = state
  for (const { alarmId, episode } of shop.episodes.values()) {
    if (lastsTooLongMs(episode, settings) > telling.nowMs || plan.calendar.isOpenAt(telling.nowMs)) continue
    const alarm = shop.alarms.get(alarmId ?? '')
    if (alarm && alarm.urgency !== 'now') retell(state, alarm, telling)
  }
}

function open(state: KernelState, episode: Episode, telling: Telling): void {
  const held =
    episode.condition === 'powerLost' ? telling.nowMs + state.settings.limits.outageHoldMs : telling.nowMs
  const entry: OpenEpisode = { episode, alarmId: null, holdUntilMs: held }
  state.shop.episodes.set(episode.id, entry)
  place(state, entry, telling)
}

function place(state: KernelState, entry: OpenEpisode, telling: Telling): void {
  const { shop, settings } = state
  const { episode } = entry
  const quiet = coveringQuiet(state, episode, telling.nowMs)
  const explaining = quiet ? undefined : explainingAlarm(state, episode)
  if (explaining) return joinAlarm(state, explaining, entry, telling)
  const rootKey = rootOf(state, entry)
  const home = homeOf(state, { rootKey, inQuiet: quiet !== null, nowMs: telling.nowMs })
  if (home && home.state !== 'normal') return joinAlarm(state, home, entry, { ...telling, quiet })
  if (telling.nowMs < entry.holdUntilMs) return
  if (home) joinAlarm(state, home, entry, { ...telling, quiet })
  else raiseAlarm(state, entry, { ...telling, rootKey, quiet })
  if (rootKey !== OUTAGE_ROOT || settings.machines.length === 0) return
  // Those that wait for the same outage need wait no longer.
  for (const other of shop.episodes.values()) {
    if (other.alarmId === null && isOneOutage(episode, other.episode, settings)) place(state, other, telling)
  }
}

function close(state: KernelState, episode: Episode, telling: Telling): void {
  const alarm = alarmOfOpen(state, episode.id)
  state.shop.episodes.delete(episode.id)
  if (alarm) settle(state, alarm, episode.closedMs ?? telling.nowMs, telling)
}

function alarmOfOpen({ shop }: KernelState, episodeId: string): Alarm | undefined {
  return shop.alarms.get(shop.episodes.get(episodeId)?.alarmId ?? '')
}

function correct(state: KernelState, previousId: string, episode: Episode, telling: Telling): void {
  const { shop } = state
  const waiting = shop.episodes.get(previousId)
  shop.episodes.delete(previousId)
  const alarm = [...shop.alarms.values()].find((a) => a.episodeIds.includes(previousId))
  const entry: OpenEpisode = {
    episode,
    alarmId: alarm?.id ?? null,
    holdUntilMs: waiting?.holdUntilMs ?? telling.nowMs,
  }
  if (episode.closedMs === null) shop.episodes.set(episode.id, entry)
  if (!alarm) return episode.closedMs === null ? place(state, entry, telling) : undefined
  alarm.episodeIds = alarm.episodeIds.map((id) => (id === previousId ? episode.id : id))
  if (alarm.leadEpisodeId === previousId) alarm.leadEpisodeId = episode.id
  alarm.revision = 'corrected'
  // The past turned out other than told: what seemed over is not.
  const isOver = alarm.returnedMs !== null || memoryOf(state, alarm).heldReturn !== null
  if (episode.closedMs === null && isOver) {
    return joinAlarm(state, alarm, entry, { ...telling, quiet: quietOfOver(state, entry, alarm, telling) })
  }
  emitAlarm(alarm, telling.nowMs, telling.emit)
  settle(state, alarm, episode.closedMs ?? telling.nowMs, telling)
}

/** An alarm that was told stands on in a planned quiet; one that was over goes into it. */
function quietOfOver(
  state: KernelState,
  { episode }: OpenEpisode,
  alarm: Alarm,
  { nowMs }: Telling,
): CoveringQuiet | null {
  return alarm.state === 'normal' ? coveringQuiet(state, episode, nowMs) : null
}

function withdraw(state: KernelState, episodeId: string, telling: Telling): void {
  const { shop } = state
  const alarm = [...shop.alarms.values()].find((a) => a.episodeIds.includes(episodeId))
  shop.episodes.delete(episodeId)
  if (!alarm) return
  const isWhole = alarm.episodeIds.every((id) => id === episodeId)
  alarm.revision = isWhole ? 'withdrawn' : 'corrected'
  if (isWhole && alarm.state !== 'normal') return takeBack(state, alarm, telling)
  if (alarm.returnedMs !== null) return emitAlarm(alarm, telling.nowMs, telling.emit)
  settle(state, alarm, telling.nowMs, telling)
}
