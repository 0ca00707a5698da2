import type { InputOf } from '../model/input.ts'
import { live, memoryOf } from './alarm-life.ts'
import { comeBack, emitAlarm, type Emit, type Telling } from './shop-alarms.ts'
import type { KernelState } from './state.ts'

/**
 * Shelving: a person sets an alarm aside for a time, with a reason.
 *
 * SHELVE-1 shelved it asks for nobody, however often its condition comes and goes. Its task stays: shelving stops the
 *          asking and does no work.
 * SHELVE-2 it ends by its time, or when somebody takes it down: then it is told anew where the condition holds.
 * SHELVE-3 it covers the trouble that was looked at. Another trouble of the same root that cannot wait takes the alarm
 *          off the shelf.
 * SHELVE-4 at most 7 days at once (`LONGEST_SHELF_MS`); an act that asks for more is refused before it is on the log.
 */
export function shelve(state: KernelState, input: InputOf<'alarmShelved'>, emit: Emit): void {
  const alarm = state.shop.alarms.get(input.alarmId)
  if (!alarm || alarm.state === 'normal' || alarm.shelved || alarm.quiet) return
  const telling = { nowMs: input.receivedMs, emit }
  live(state, alarm, { type: 'shelved' }, telling.nowMs)
  const { act, untilMs, reason } = input
  alarm.shelved = { act, untilMs, reason, condition: alarm.condition }
  const { heldReturn } = memoryOf(state, alarm)
  if (heldReturn) comeBack(state, alarm, heldReturn.atMs, telling)
  else emitAlarm(alarm, telling.nowMs, emit)
}

export function unshelve(state: KernelState, alarmId: string, { nowMs, emit }: Telling): void {
  const alarm = state.shop.alarms.get(alarmId)
  if (alarm?.state !== 'shelved') return
  live(state, alarm, { type: 'unshelved' }, nowMs)
  emitAlarm(alarm, nowMs, emit)
}

/** When the first shelf ends, or Infinity. */
export function shelfEndMs({ shop }: KernelState): number {
  let soonest = Infinity
  for (const { shelved } of shop.alarms.values()) soonest = Math.min(soonest, shelved?.untilMs ?? Infinity)
  return soonest
}

export function endOverShelves(state: KernelState, telling: Telling): void {
  for (const { id, shelved } of state.shop.alarms.values()) {
    if (shelved && shelved.untilMs <= telling.nowMs) unshelve(state, id, telling)
  }
}
