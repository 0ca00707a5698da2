import type { AlarmMemory } from '../alarms/alarm-memory.ts'
import { askedAt } from '../alarms/flood.ts'
import { nextLife, type LifeEvent } from '../alarms/life-cycle.ts'
import type { Alarm } from '../model/alarm.ts'
import type { KernelState } from './state.ts'

export function memoryOf({ shop }: KernelState, alarm: Alarm): AlarmMemory {
  const known = shop.memories.get(alarm.id)
  if (known) return known
  const memory: AlarmMemory = { aroseMs: [], heldReturn: null, called: false, endedTask: null }
  shop.memories.set(alarm.id, memory)
  return memory
}

/** Takes an alarm through one event of its life, and counts what asks for somebody. */
export function live(state: KernelState, alarm: Alarm, event: LifeEvent, nowMs: number): void {
  const before = alarm.state
  alarm.state = nextLife({ state: before, holds: alarm.returnedMs === null }, event).state
  if (alarm.state === before) return
  if (alarm.state !== 'shelved') alarm.shelved = null
  if (alarm.state !== 'suppressedByDesign' && alarm.state !== 'outOfService') alarm.quiet = null
  if (alarm.state !== 'unacknowledged') return
  alarm.acknowledged = null
  state.shop.flood = askedAt(state.shop.flood, nowMs)
}

/** Is an alarm flood under way? Then what is told is told together. */
export function isFlood({ shop }: Pick<KernelState, 'shop'>): boolean {
  return shop.flood.sinceMs !== null
}
