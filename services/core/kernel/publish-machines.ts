import { machineState } from '../advise/machine-state.ts'
import type { Effect } from '../model/effect.ts'
import type { KernelState } from './state.ts'

/** Publishes the state of each machine that is not as it was last published. */
export function publishMachines(
  { shop, settings }: KernelState,
  seq: number,
  nowMs: number,
  emit: (effect: Effect) => void,
): void {
  for (const machine of settings.machines) {
    const state = machineState(machine, shop.alarms.values(), settings)
    const text = JSON.stringify(state)
    if (shop.published.get(machine.id) === text) continue
    shop.published.set(machine.id, text)
    const message = {
      idempotencyKey: `machineState|${machine.id}|${seq}`,
      channel: 'machineState' as const,
      replaceKey: `machineState|${machine.id}`,
      body: { ...state, atMs: nowMs },
    }
    emit({ type: 'messageQueued', message, atMs: nowMs })
  }
}
