import { Temporal } from 'temporal-polyfill'
import { affectedMachines } from '../../assess/affected-machines.ts'
import type { KernelState } from '../../kernel/state.ts'
import type { Alarm } from '../../model/alarm.ts'
import type { Condition, Episode } from '../../model/episode.ts'
import type { Effect } from '../../model/effect.ts'
import type { Notice } from '../../model/notice.ts'
import type { RerunOutcome } from '../../model/rerun.ts'

/** A night on which somebody was called: the machines it was about. */
export interface WokenNight {
  /** The day on whose noon it begins, `2026-03-14`. */
  readonly nightOf: string
  readonly firstMs: number
  readonly machineIds: ReadonlySet<string>
}

/** What effects of a re-run come to within its period. */
export interface Gathered {
  readonly alarms: RerunOutcome['alarms']
  readonly nights: readonly WokenNight[]
}

export interface Gatherer {
  readonly onEffect: (effect: Effect, atMs: number, state: KernelState) => void
  readonly result: () => Gathered
}

const CALLS: ReadonlySet<Notice['kind']> = new Set<Notice['kind']>(['alarm', 'reminder', 'escalation'])
/** What nozzle checks can say something about. */
const ABOUT_HEADS: ReadonlySet<Condition> = new Set<Condition>(['offItsCap', 'headWillDry', 'headDrying'])

/**
 * GATHER-1 an alarm counts each time it arises within the period, under the condition that it then leads with.
 * GATHER-2 a night is woken when a call, a reminder or the next contact's call leaves while the shop is closed. A night
 *          runs from noon to noon.
 * GATHER-3 machines of a woken night are those whose heads the call was about; a call about a bottle or the mains has
 *          none, and no nozzle check can tell whether it was needed.
 */
export function createGatherer({ fromMs, toMs }: { fromMs: number; toMs: number }): Gatherer {
  const activations = new Map<string, number>()
  const counts = new Map<Condition, number>()
  const nights = new Map<string, { nightOf: string; firstMs: number; machineIds: Set<string> }>()
  const isWithin = (atMs: number): boolean => atMs >= fromMs && atMs < toMs

  const noteAlarm = (alarm: Alarm, atMs: number): void => {
    const arose = alarm.activations > (activations.get(alarm.id) ?? 0)
    activations.set(alarm.id, alarm.activations)
    if (arose && isWithin(atMs)) counts.set(alarm.condition, (counts.get(alarm.condition) ?? 0) + 1)
  }
  const noteCall = ({ alarmId }: Notice, atMs: number, { shop, plan, settings }: KernelState): void => {
    if (!isWithin(atMs) || plan.calendar.isOpenAt(atMs)) return
    const nightOf = nightOfCall(atMs, plan.calendar.timeZone)
    const night = nights.get(nightOf) ?? { nightOf, firstMs: atMs, machineIds: new Set<string>() }
    nights.set(nightOf, night)
    const asking = [...shop.telling.askings.values()].find(
      (a) => alarmId !== null && a.alarmIds.includes(alarmId),
    )
    for (const id of asking?.alarmIds ?? [alarmId ?? '']) {
      const alarm = shop.alarms.get(id)
      if (!alarm || !ABOUT_HEADS.has(alarm.condition)) continue
      for (const machine of affectedMachines(alarm.subject, settings)) night.machineIds.add(machine.id)
    }
  }
  return {
    onEffect: (effect, atMs, state) => {
      if (effect.type === 'alarmChanged') noteAlarm(effect.alarm, effect.atMs)
      else if (effect.type === 'noticeQueued' && CALLS.has(effect.notice.kind))
        noteCall(effect.notice, atMs, state)
    },
    result: () => ({
      alarms: commonestFirst(counts),
      nights: [...nights.values()].sort((a, b) => a.firstMs - b.firstMs),
    }),
  }
}

export function commonestFirst(counts: ReadonlyMap<Condition, number>): RerunOutcome['alarms'] {
  return [...counts]
    .map(([condition, count]) => ({ condition, count }))
    .sort((a, b) => b.count - a.count || (a.condition < b.condition ? -1 : 1))
}

/** The night to which a time belongs, from noon to noon of the shop's zone. */
export function nightOfCall(atMs: number, timeZone: string): string {
  return zoned(atMs, timeZone).subtract({ hours: 12 }).toPlainDate().toString()
}

function zoned(atMs: number, timeZone: string): Temporal.ZonedDateTime {
  return Temporal.Instant.fromEpochMilliseconds(Math.floor(atMs)).toZonedDateTimeISO(timeZone)
}

/** Nights within the period on which an episode of one of these conditions came up or stood. */
export function nightsHeld(
  episodes: readonly Episode[],
  conditions: readonly Condition[],
  { fromMs, toMs, timeZone }: { fromMs: number; toMs: number; timeZone: string },
): number {
  const nights = new Set<string>()
  for (const { condition, openedMs, closedMs } of episodes) {
    if (!conditions.includes(condition)) continue
    const end = Math.min(closedMs ?? toMs, toMs - 1)
    for (let at = Math.max(openedMs, fromMs); at <= end; at = nextNoonMs(at, timeZone))
      nights.add(nightOfCall(at, timeZone))
  }
  return nights.size
}

function nextNoonMs(atMs: number, timeZone: string): number {
  const at = zoned(atMs, timeZone)
  const noon = at.with({ hour: 12, minute: 0, second: 0, millisecond: 0, microsecond: 0, nanosecond: 0 })
  return (Temporal.ZonedDateTime.compare(noon, at) > 0 ? noon : noon.add({ days: 1 })).epochMilliseconds
}
