import { isInQuiet } from '../alarms/life-cycle.ts'
import type { Alarm } from '../model/alarm.ts'
import { live } from './alarm-life.ts'
import { coveringQuiet } from './quiet.ts'
import { emitAlarm, joinAlarm, tellAnew, type Telling } from './shop-alarms.ts'
import { explainingAlarm, homeOf, rootOf } from './shop-roots.ts'
import type { KernelState, OpenEpisode } from './state.ts'

/**
 * Alarms in planned quiet whose quiet is over: what another quiet covers moves there, what belongs to an alarm that was
 * told joins it, and the rest is told now, with its task (QUIET-1).
 */
export function endOverQuiets(state: KernelState, telling: Telling): void {
  for (const alarm of [...state.shop.alarms.values()]) if (isInQuiet(alarm)) follow(state, alarm, telling)
}

function follow(state: KernelState, alarm: Alarm, telling: Telling): void {
  const own = [...state.shop.episodes.values()].filter((e) => e.alarmId === alarm.id)
  const quiets = own.map((e) => coveringQuiet(state, e.episode, telling.nowMs))
  const [first] = quiets
  if (!first || quiets.includes(null)) {
    // What another quiet still covers is placed anew, by itself.
    for (const [i, entry] of own.entries()) if (quiets[i]) leave(alarm, entry)
    return tell(
      state,
      alarm,
      own.filter((_, i) => !quiets[i]),
      telling,
    )
  }
  if (first.told.quietId === alarm.quiet?.quietId) return
  alarm.state = first.as
  alarm.quiet = first.told
  emitAlarm(alarm, telling.nowMs, telling.emit)
}

/** An episode goes to another alarm: what becomes of it later is no longer this one's. */
function leave(alarm: Alarm, entry: OpenEpisode): void {
  entry.alarmId = null
  alarm.episodeIds = alarm.episodeIds.filter((id) => id !== entry.episode.id)
}

function tell(state: KernelState, alarm: Alarm, own: readonly OpenEpisode[], telling: Telling): void {
  const homes = own.map((entry) => {
    const rootKey = rootOf(state, entry)
    const home = homeOf(state, { rootKey, inQuiet: false, nowMs: Infinity })
    return { entry, rootKey, home: explainingAlarm(state, entry.episode) ?? home }
  })
  for (const { entry, home } of homes) {
    if (!home) continue
    leave(alarm, entry)
    joinAlarm(state, home, entry, telling)
  }
  const left = homes.find(({ home }) => !home)
  live(state, alarm, { type: 'quietEnded', joins: !left }, telling.nowMs)
  if (!left) {
    alarm.returnedMs = telling.nowMs
    return emitAlarm(alarm, telling.nowMs, telling.emit)
  }
  alarm.rootKey = left.rootKey
  tellAnew(state, alarm, telling)
}
