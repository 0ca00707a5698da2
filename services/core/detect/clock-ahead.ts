import type { TrustLimits } from '../model/trust-limits.ts'
import type { Finding } from './detector.ts'

/**
 * A node whose clock runs ahead: its readings are refused as from the future, so it measures for nothing. It lives on
 * receipt time, like silence. Values are in seconds ahead of the monitor's clock.
 *
 * CLOCK-1 opens when packs of the node were refused `times` times within `withinMs`, dated to the first of them. What
 *         was refused at one instant is one refusal, however many readings the pack held.
 * CLOCK-2 closes when nothing was refused for `withinMs`, dated to the last refusal.
 */
export interface ClockAheadState {
  /** When packs were refused: while closed, the latest few; while open, the last alone. */
  refusedMs: number[]
  open: boolean
  worstS: number
}

export type ClockAheadRule = TrustLimits['clockAhead']

export function initialClockAhead(): ClockAheadState {
  return { refusedMs: [], open: false, worstS: 0 }
}

/** A pack was refused at `receivedMs`: its newest reading lay `aheadMs` in the future. */
export function noteRefused(
  state: ClockAheadState,
  { receivedMs, aheadMs }: { readonly receivedMs: number; readonly aheadMs: number },
  { times, withinMs }: ClockAheadRule,
): Finding | null {
  const aheadS = aheadMs / 1000
  const recent = state.refusedMs.filter((atMs) => receivedMs - atMs < withinMs)
  if (recent.length === 0 && !state.open) state.worstS = 0
  state.worstS = Math.max(state.worstS, aheadS)
  if (recent.at(-1) !== receivedMs) recent.push(receivedMs)
  if (state.open) {
    state.refusedMs = [receivedMs]
    return null
  }
  state.refusedMs = recent
  if (recent.length < times) return null
  state.open = true
  state.refusedMs = [receivedMs]
  const { worstS } = state
  return {
    type: 'opened',
    fromMs: recent[0] ?? receivedMs,
    openedMs: receivedMs,
    value: aheadS,
    worst: worstS,
  }
}

export function clockAheadDeadlineMs(
  { open, refusedMs }: ClockAheadState,
  { withinMs }: ClockAheadRule,
): number {
  return open ? (refusedMs.at(-1) ?? 0) + withinMs : Infinity
}

/** The deadline of `clockAheadDeadlineMs` has come: the clock is right again, or the node is silent. */
export function fireClockAhead(state: ClockAheadState, atMs: number): Finding {
  const toMs = state.refusedMs.at(-1) ?? atMs
  state.open = false
  state.refusedMs = []
  return { type: 'closed', toMs, closedMs: atMs, worst: state.worstS }
}
