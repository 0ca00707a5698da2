import { rootKeyOf } from '../alarms/alarm-reason.ts'
import { isInQuiet } from '../alarms/life-cycle.ts'
import { isOneOutage, OUTAGE_ROOT } from '../alarms/outage.ts'
import { reopens } from '../alarms/re-alarm.ts'
import { isExplainedBy } from '../alarms/suppression.ts'
import { affectedMachines } from '../assess/affected-machines.ts'
import type { Alarm } from '../model/alarm.ts'
import type { Episode } from '../model/episode.ts'
import type { KernelState, OpenEpisode } from './state.ts'

/**
 * The open alarm of something that explains this episode on the same machine, or in the whole shop. What planned quiet
 * hides explains nothing to anybody.
 */
export function explainingAlarm({ shop, settings }: KernelState, episode: Episode): Alarm | undefined {
  const machines = affectedMachines(episode.subject, settings)
  for (const other of shop.episodes.values()) {
    if (other.alarmId === null || other.episode.id === episode.id) continue
    if (!isExplainedBy(episode.condition, other.episode.condition)) continue
    const alarm = shop.alarms.get(other.alarmId)
    if (!alarm || isInQuiet(alarm)) continue
    const shared = affectedMachines(other.episode.subject, settings).some((m) => machines.includes(m))
    if (shared || other.episode.subject.kind === 'site') return alarm
  }
  return undefined
}

export function rootOf({ shop, settings }: KernelState, { episode }: OpenEpisode): string {
  for (const other of shop.episodes.values()) {
    if (other.episode.id !== episode.id && isOneOutage(episode, other.episode, settings)) return OUTAGE_ROOT
  }
  return rootKeyOf(episode, settings)
}

/**
 * The alarm that an episode of this root belongs to: the open one, told or in quiet as the episode is, else the last
 * that was over so short a time ago that it opens again (REALARM-1).
 */
export function homeOf(
  { shop }: KernelState,
  { rootKey, inQuiet, nowMs }: { rootKey: string; inQuiet: boolean; nowMs: number },
): Alarm | undefined {
  const own = [...shop.alarms.values()].filter((a) => a.rootKey === rootKey)
  return (
    own.find((a) => a.state !== 'normal' && isInQuiet(a) === inQuiet) ??
    own.findLast((a) => reopens(a, nowMs))
  )
}
