import { clockText } from '../model/clock-text.ts'
import type { Condition, Episode } from '../model/episode.ts'
import type { Settings } from '../model/settings.ts'
import type { AlarmReason, ReasonContext } from './alarm-reason.ts'
import { priorityOf } from './priority.ts'

/** One root for machines that lost power together, and for the mains of the shop. */
export const OUTAGE_ROOT = 'outage'

const POWER: readonly Condition[] = ['powerLost', 'mainsLost']

/**
 * OUTAGE-1 machines that lost power within `outageHoldMs` of each other belong to one outage.
 * OUTAGE-2 the mains of the shop, where it is watched, makes one outage with every machine that lost power with it.
 */
export function isOneOutage(a: Episode, b: Episode, { limits }: Settings): boolean {
  if (!POWER.includes(a.condition) || !POWER.includes(b.condition)) return false
  return Math.abs(a.fromMs - b.fromMs) <= limits.outageHoldMs
}

/** The reason of an outage that took several machines; null where one alone stands for itself. */
export function outageReason(
  open: readonly Episode[],
  { settings, nowMs }: ReasonContext,
): AlarmReason | null {
  const machines = open.filter((e) => e.condition === 'powerLost')
  const urgent = open.some((e) => e.condition === 'offItsCap' || e.condition === 'headWillDry')
  if (machines.length < 2 || urgent || open.some((e) => e.condition === 'mainsLost')) return null
  const fromMs = Math.min(...machines.map((e) => e.fromMs))
  const since = clockText(fromMs, { timeZone: settings.site.timeZone, nowMs })
  const closed = machines.some((e) => e.shopClosed)
  const urgency = closed ? 'beforeOpening' : 'today'
  return {
    urgency,
    priority: priorityOf('powerLost', urgency),
    title: `${machines.length} machines lost power together`,
    cause: `No power at ${machines.length} machines since ${since}.`,
    consequence: 'Machines that are off cannot clean their heads, and the ink dries in the nozzles.',
    action:
      'Find out why the power is off. If a breaker or residual-current device tripped, or anything is wet, leave it off and call an electrician.',
    timeToAct: closed ? 'Before opening; you are told at once if a head is in danger.' : 'Before closing.',
  }
}
