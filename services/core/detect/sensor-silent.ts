import type { Finding } from './detector.ts'

/**
 * A sensor that no longer speaks. It lives on receipt time: a reading that comes late says that the sensor speaks
 * now, and no late reading undoes a silence that people were told of.
 *
 * SILENT-1 opens when nothing was received for `limitMs`; its beginning is the last receipt.
 * SILENT-2 closes at the next receipt.
 * SILENT-3 after the monitor itself was dark, silence is held until `holdUntilMs`.
 * SILENT-4 a sensor that was assigned and never heard counts from its assignment.
 */
export interface SilentState {
  lastReceivedMs: number
  holdUntilMs: number
  open: boolean
}

export function silentDeadlineMs(state: SilentState, limitMs: number): number {
  return state.open ? Infinity : Math.max(state.lastReceivedMs + limitMs, state.holdUntilMs)
}

export function fireSilent(state: SilentState, atMs: number): Finding {
  state.open = true
  return { type: 'opened', fromMs: state.lastReceivedMs, openedMs: atMs, value: 0, worst: 0 }
}

export function noteReceived(state: SilentState, receivedMs: number): Finding | null {
  state.lastReceivedMs = Math.max(state.lastReceivedMs, receivedMs)
  if (!state.open) return null
  state.open = false
  return { type: 'closed', toMs: receivedMs, closedMs: receivedMs, worst: 0 }
}
