import type { TrustLimits } from '../model/trust-limits.ts'
import type { Finding } from './detector.ts'

/**
 * Packs of a node that never came, though later ones did. It lives on receipt time, like silence. Values are packs.
 *
 * MISSING-1 opens when packs were missing for `forMs` without a break: they may come late. Its beginning is when the
 *           first of them was found missing.
 * MISSING-2 closes when none is missing any more.
 * MISSING-3 what is still missing `lostAfterMs` after the last was found missing is lost for good: it closes, and
 *           those packs open nothing again, though they stay counted.
 */
export interface ReadingsMissingState {
  /** Packs missing, as last told. */
  missing: number
  /** Of these, given up as lost. */
  lost: number
  /** Since when packs that are not given up are missing; null: none is. */
  sinceMs: number | null
  /** When the last further one was found missing. */
  grewMs: number
  open: boolean
  worst: number
}

export type ReadingsMissingRule = TrustLimits['readingsMissing']

export function initialReadingsMissing(): ReadingsMissingState {
  return { missing: 0, lost: 0, sinceMs: null, grewMs: 0, open: false, worst: 0 }
}

/** After a pack was counted: so many packs of the node are missing now. */
export function noteMissing(state: ReadingsMissingState, missing: number, atMs: number): Finding | null {
  if (missing > state.missing) state.grewMs = atMs
  state.missing = missing
  state.lost = Math.min(state.lost, missing)
  const waited = missing - state.lost
  if (waited === 0) {
    state.sinceMs = null
    return close(state, atMs)
  }
  state.worst = state.sinceMs === null ? waited : Math.max(state.worst, waited)
  state.sinceMs ??= atMs
  return null
}

export function readingsMissingDeadlineMs(
  { open, sinceMs, grewMs }: ReadingsMissingState,
  { forMs, lostAfterMs }: ReadingsMissingRule,
): number {
  if (sinceMs === null) return Infinity
  return open ? grewMs + lostAfterMs : sinceMs + forMs
}

/** The deadline of `readingsMissingDeadlineMs` has come. */
export function fireReadingsMissing(state: ReadingsMissingState, atMs: number): Finding | null {
  if (state.open) {
    state.lost = state.missing
    state.sinceMs = null
    return close(state, atMs)
  }
  state.open = true
  const { sinceMs, missing, lost, worst } = state
  return { type: 'opened', fromMs: sinceMs ?? atMs, openedMs: atMs, value: missing - lost, worst }
}

function close(state: ReadingsMissingState, atMs: number): Finding | null {
  if (!state.open) return null
  state.open = false
  return { type: 'closed', toMs: atMs, closedMs: atMs, worst: state.worst }
}
