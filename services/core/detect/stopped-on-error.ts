import type { MachineFacts } from '../track/machine.ts'
import type { Detector } from './detector.ts'

/** A meter that stands between the bands for this long shows a machine that does nothing it knows. A starting value. */
const BETWEEN_BANDS_MS = 30 * 60_000

export interface StoppedState {
  open: boolean
}

/**
 * A machine that stopped on an error: it neither prints nor cleans until somebody comes.
 *
 * ERROR-1 opens at once when a person says so; its value is then 0.
 * ERROR-2 opens when the meter, whose bands are known, has stood between them for half an hour; its value is then 1.
 * ERROR-3 closes when a person says that it runs again, when it is seen to clean or print, or when it goes off.
 */
export const stoppedOnError: Detector<StoppedState, MachineFacts> = {
  condition: 'stoppedOnError',
  hears: ['power', 'powered'],
  initial: () => ({ open: false }),
  onFacts: (state, { facts }) => {
    const { atMs } = facts
    if (!state.open || atMs === null || dueMs(facts) < Infinity) return null
    state.open = false
    return { type: 'closed', toMs: atMs, closedMs: atMs, worst: 0 }
  },
  deadlineMs: (state, { facts }) => (state.open ? Infinity : dueMs(facts)),
  onDeadline: (state, { facts }, atMs) => {
    state.open = true
    const value = facts.errorSaidMs === null ? 1 : 0
    return {
      type: 'opened',
      fromMs: facts.errorSaidMs ?? facts.betweenBandsMs ?? atMs,
      openedMs: atMs,
      value,
      worst: value,
    }
  },
}

function dueMs({ errorSaidMs, betweenBandsMs }: MachineFacts): number {
  if (errorSaidMs !== null) return errorSaidMs
  return betweenBandsMs === null ? Infinity : betweenBandsMs + BETWEEN_BANDS_MS
}
