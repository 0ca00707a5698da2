import type { Act } from '../model/act.ts'
import type { Effect } from '../model/effect.ts'
import { live } from './alarm-life.ts'
import { emitAlarm } from './shop-alarms.ts'
import type { KernelState } from './state.ts'

type Emit = (effect: Effect) => void

/** "I'm on it", or of what is over already: "I saw it". */
export function acknowledge(state: KernelState, alarmId: string, act: Act, emit: Emit): void {
  const alarm = state.shop.alarms.get(alarmId)
  if (alarm?.state !== 'unacknowledged' && alarm?.state !== 'returnedUnacknowledged') return
  live(state, alarm, { type: 'acknowledged' }, act.atMs)
  alarm.acknowledged = act
  emitAlarm(alarm, act.atMs, emit)
}

/** A signed-off task is done; whoever did it has also seen its alarm, which stays until the world is well. */
export function signOff(
  state: KernelState,
  taskId: string,
  { act, note }: { act: Act; note: string },
  emit: Emit,
): void {
  const task = state.shop.tasks.get(taskId)
  if (task?.state !== 'open') return
  task.state = 'signedOff'
  task.closedMs = act.atMs
  task.signedOff = { ...act, note }
  state.shop.tasks.delete(taskId)
  emit({ type: 'taskChanged', task: { ...task }, atMs: act.atMs })
  acknowledge(state, task.alarmId, act, emit)
}
