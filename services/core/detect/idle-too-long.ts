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
 * IDLE-4 a silent meter sees no print, so nothing is due while it is silent. After a silence in which the machine may have
 *        printed (ten minutes and more, some of them in open hours) it counts anew from when it is heard again.
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
    const fromMs = stillFromMs(facts, part)
    if (state.open || fromMs === null || facts.power.state === 'unknown') return Infinity
    return fromMs + context.settings.limits.idleMs
  },
  onDeadline: (state, { facts, part }, atMs) => {
    state.open = true
    const fromMs = stillFromMs(facts, part) ?? atMs
    const value = (atMs - fromMs) / HOUR_MS
    return { type: 'opened', fromMs, openedMs: atMs, value, worst: value }
  },
}

/** Since when it surely stood still; null where no move of it was ever seen or logged. */
function stillFromMs({ drying, maybePrintedMs }: MachineFacts, part: Subject): number | null {
  const { movedMs } = inkOf(drying, part.id)
  return movedMs === null ? null : Math.max(movedMs, maybePrintedMs ?? movedMs)
}

function whiteGroupsOf({ settings, subject }: SubjectContext): readonly Subject[] {
  return groupsOf(settings, subject.id)
    .filter((g) => g.ink === 'white')
    .map(({ id }) => ({ kind: 'channelGroup', id }))
}
