import type { Finding } from './detector.ts'

/** Phase of a condition with delays: `opening` waits for the on-delay, `closing` for the off-delay. */
export interface HoldState {
  phase: 'normal' | 'opening' | 'open' | 'closing'
  /** When the present stretch beyond the limit began; meaningless in `normal`. */
  fromMs: number
  /** When the return began; meaningful in `closing`. */
  toMs: number
  /** Time of the last reading. */
  lastMs: number
  worst: number
}

export interface HoldRule {
  readonly onDelayMs: number
  readonly offDelayMs: number
  readonly validForMs: number
}

export interface HoldSample {
  readonly atMs: number
  readonly value: number
  /** Beyond the limit that opens. */
  readonly beyond: boolean
  /** On the well side of the limit that closes. Between the two lies the deadband, where nothing changes. */
  readonly well: boolean
  /** The worse of two values. */
  readonly worse: (a: number, b: number) => number
}

export function initialHold(): HoldState {
  return { phase: 'normal', fromMs: 0, toMs: 0, lastMs: 0, worst: 0 }
}

/**
 * A reading comes to a condition with deadband and delays (the words of ISA-18.2).
 *
 * HOLD-1 a reading beyond the limit begins a wait; the condition opens when every reading for the whole on-delay
 *        was beyond it, and its beginning is the first of them.
 * HOLD-2 while waiting, a reading that is not beyond the limit ends the wait.
 * HOLD-3 an open condition begins to close on a reading on the well side of the deadband, closes after the whole
 *        off-delay on that side, and its end is the first of them; a reading back in the deadband ends that wait.
 * HOLD-4 a silence longer than `validForMs` ends either wait: what nobody measured proves nothing.
 * HOLD-5 with a delay of zero the reading itself decides.
 */
export function stepHold(state: HoldState, sample: HoldSample, rule: HoldRule): Finding | null {
  state.lastMs = sample.atMs
  if (state.phase === 'open' || state.phase === 'closing') return stepOpen(state, sample, rule)
  if (!sample.beyond) {
    state.phase = 'normal'
    return null
  }
  if (state.phase === 'normal') {
    state.phase = 'opening'
    state.fromMs = sample.atMs
    state.worst = sample.value
    return rule.onDelayMs === 0 ? open(state, sample.atMs) : null
  }
  state.worst = sample.worse(state.worst, sample.value)
  return null
}

function stepOpen(state: HoldState, sample: HoldSample, rule: HoldRule): Finding | null {
  state.worst = sample.worse(state.worst, sample.value)
  if (!sample.well) {
    state.phase = 'open'
    return null
  }
  if (state.phase === 'open') {
    state.phase = 'closing'
    state.toMs = sample.atMs
    return rule.offDelayMs === 0 ? close(state, sample.atMs) : null
  }
  return null
}

/** When a wait is decided: its delay is over, or its last reading has stopped standing for the present. */
export function holdDeadlineMs(state: HoldState, rule: HoldRule): number {
  const expiresMs = state.lastMs + rule.validForMs
  if (state.phase === 'opening') return Math.min(state.fromMs + rule.onDelayMs, expiresMs)
  if (state.phase === 'closing') return Math.min(state.toMs + rule.offDelayMs, expiresMs)
  return Infinity
}

/**
 * The deadline of `holdDeadlineMs` has come. `atMs` is that deadline, or later when a change of the rule moved it into
 * the past: then it is sure only now.
 */
export function fireHold(state: HoldState, rule: HoldRule, atMs: number): Finding | null {
  const expiresMs = state.lastMs + rule.validForMs
  if (state.phase === 'opening') {
    const dueMs = state.fromMs + rule.onDelayMs
    if (dueMs <= expiresMs) return open(state, atMs)
    state.phase = 'normal'
  } else if (state.phase === 'closing') {
    const dueMs = state.toMs + rule.offDelayMs
    if (dueMs <= expiresMs) return close(state, atMs)
    state.phase = 'open'
  }
  return null
}

/** Nobody measures this any more: an open condition ends at `atMs`. */
export function abandonHold(state: HoldState, atMs: number): Finding | null {
  const wasOpen = state.phase === 'open' || state.phase === 'closing'
  const { worst } = state
  state.phase = 'normal'
  return wasOpen ? { type: 'closed', toMs: atMs, closedMs: atMs, worst } : null
}

function open(state: HoldState, openedMs: number): Finding {
  state.phase = 'open'
  return { type: 'opened', fromMs: state.fromMs, openedMs, value: state.worst, worst: state.worst }
}

function close(state: HoldState, closedMs: number): Finding {
  const toMs = state.toMs
  state.phase = 'normal'
  return { type: 'closed', toMs, closedMs, worst: state.worst }
}
