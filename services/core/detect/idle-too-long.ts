import type { Subject } from '../model/subject.ts'
import { groupsOf, inkOf } from '../track/drying.ts'
import type { MachineFacts } from '../track/machine.ts'
import type { SubjectContext } from '../track/tracker.ts'
import type { Detector } from './detector.ts'

const HOUR_MS = 3_600_000

export interface IdleState {
  open: boolean
}

/**
 * White ink that stood still: its pigment settles, and an idle machine wants its white ink moved (common practice, no
 * source).
 *
 * IDLE-1 opens when a white channel group was neither printed with nor stirred for `idleMs`. Its value is the hours.
 * IDLE-2 closes at the next print that is seen, or print or stir that is logged.
 * IDLE-3 where prints cannot be seen, and none was ever logged, nothing is said.
 */
export const idleTooLong: Detector<IdleState, MachineFacts> = {
  condition: 'idleTooLong',
  hears: ['power', 'powered'],
  partsOf: whiteGroupsOf,
  initial: () => ({ open: false }),
  onFacts: (state, { facts, part, context }) => {
    const { atMs } = facts
    if (!state.open || atMs === null) return null
    const movedMs = inkOf(facts.drying, part.id).movedMs
    if (movedMs !== null && atMs - movedMs >= context.settings.limits.idleMs) return null
    state.open = false
    return { type: 'closed', toMs: atMs, closedMs: atMs, worst: 0 }
  },
  deadlineMs: (state, { facts, part, context }) => {
    const movedMs = inkOf(facts.drying, part.id).movedMs
    return state.open || movedMs === null ? Infinity : movedMs + context.settings.limits.idleMs
  },
  onDeadline: (state, { facts, part }, atMs) => {
    state.open = true
    const movedMs = inkOf(facts.drying, part.id).movedMs ?? atMs
    const value = (atMs - movedMs) / HOUR_MS
    return { type: 'opened', fromMs: movedMs, openedMs: atMs, value, worst: value }
  },
}

function whiteGroupsOf({ settings, subject }: SubjectContext): readonly Subject[] {
  return groupsOf(settings, subject.id)
    .filter((g) => g.ink === 'white')
    .map(({ id }) => ({ kind: 'channelGroup', id }))
}
