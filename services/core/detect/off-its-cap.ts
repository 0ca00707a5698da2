import type { MachineFacts } from '../track/machine.ts'
import type { SubjectContext } from '../track/tracker.ts'
import type { Detector } from './detector.ts'

export interface OffItsCapState {
  open: boolean
}

/**
 * A head off its cap, which dries far faster than a capped one (common practice, no source).
 *
 * CAP-OFF-1 opens when the head has probably been off its cap for `uncappedMs` (rule CAP-1), dated to the moment when
 *           the power fell. Its value is 0.
 * CAP-OFF-2 opens at once when a person said so; its value is then 1. While somebody works on the machine it waits
 *           (rule CAP-4), and the uncapped dose runs all the same.
 * CAP-OFF-3 closes when the head is on its cap again (rules CAP-2 and CAP-3).
 */
export const offItsCap: Detector<OffItsCapState, MachineFacts> = {
  condition: 'offItsCap',
  hears: ['power', 'powered'],
  initial: () => ({ open: false }),
  onFacts: (state, { facts }) => {
    if (!state.open || facts.cap.state !== 'capped' || facts.atMs === null) return null
    state.open = false
    return { type: 'closed', toMs: facts.atMs, closedMs: facts.atMs, worst: valueOf(facts) }
  },
  deadlineMs: (state, { facts, context }) => (state.open ? Infinity : dueMs(facts, context)),
  onDeadline: (state, { facts }, atMs) => {
    state.open = true
    const value = valueOf(facts)
    return { type: 'opened', fromMs: facts.cap.sinceMs ?? atMs, openedMs: atMs, value, worst: value }
  },
}

function dueMs({ cap }: MachineFacts, { settings }: SubjectContext): number {
  if (cap.state === 'capped' || cap.sinceMs === null) return Infinity
  const delayMs = cap.state === 'probablyUncapped' ? settings.limits.powerOff.uncappedMs : 0
  return Math.max(cap.sinceMs + delayMs, cap.servicedUntilMs ?? -Infinity)
}

function valueOf({ cap }: MachineFacts): number {
  return cap.by === 'person' ? 1 : 0
}
