import type { Subject } from '../model/subject.ts'
import { certainDoseKpaH } from '../track/certain-dose.ts'
import { groupsOf } from '../track/drying.ts'
import type { MachineFacts } from '../track/machine.ts'
import type { SubjectContext } from '../track/tracker.ts'
import type { Detector, Situation } from './detector.ts'

const HOUR_MS = 3_600_000
/** Closes below this share of the limit: a partial cleaning that leaves more has not mended it. */
const CLOSES_BELOW = 0.9

export interface HeadDryingState {
  open: boolean
  /** In percent of the limit. */
  worst: number
}

/**
 * Ink that has gathered more drying dose than its limit since it was last wetted. Limits are starting values (no
 * source).
 *
 * DRYING-1 opens at the instant at which the certain dose (rules FRESH-1 to FRESH-3) reaches the limit of its ink. Its
 *          value is the dose in percent of the limit.
 * DRYING-2 closes when a wetting brings the dose below nine tenths of the limit.
 * DRYING-3 a dose that is no longer certain, since the machine is on again and may clean unseen, closes it as well:
 *          what is unknown is not said to be dry.
 */
export const headDrying: Detector<HeadDryingState, MachineFacts> = {
  condition: 'headDrying',
  hears: ['humidity', 'temperature', 'power', 'powered'],
  partsOf: channelGroupsOf,
  initial: () => ({ open: false, worst: 0 }),
  onFacts: (state, situation) => {
    const { atMs } = situation.facts
    if (atMs === null || !state.open) return null
    const usedPct = usedPctAt(situation, atMs)
    state.worst = Math.max(state.worst, usedPct ?? 0)
    if (usedPct !== null && usedPct >= CLOSES_BELOW * 100) return null
    state.open = false
    return { type: 'closed', toMs: atMs, closedMs: atMs, worst: state.worst }
  },
  deadlineMs: (state, situation) => {
    const { facts, context, part } = situation
    const { atMs } = facts
    if (state.open || atMs === null) return Infinity
    const doseKpaH = certainDoseKpaH(facts, part.id, atMs)
    if (doseKpaH === null) return Infinity
    const leftKpaH = doseLimitKpaH(context, part.id) - doseKpaH
    if (leftKpaH <= 0) return atMs
    return facts.drying.rateKpa <= 0
      ? Infinity
      : atMs + Math.ceil((leftKpaH / facts.drying.rateKpa) * HOUR_MS)
  },
  onDeadline: (state, situation, atMs) => {
    const value = usedPctAt(situation, atMs) ?? 100
    state.open = true
    state.worst = value
    return { type: 'opened', fromMs: atMs, openedMs: atMs, value, worst: value }
  },
}

/** The channel groups of a machine's installed heads. */
export function channelGroupsOf({ settings, subject }: SubjectContext): readonly Subject[] {
  return groupsOf(settings, subject.id).map(({ id }) => ({ kind: 'channelGroup', id }))
}

export function doseLimitKpaH({ settings, subject }: SubjectContext, groupId: string): number {
  const ink = groupsOf(settings, subject.id).find((g) => g.id === groupId)?.ink ?? 'colour'
  return settings.limits.doseKpaH[ink]
}

function usedPctAt({ facts, context, part }: Situation<MachineFacts>, atMs: number): number | null {
  const doseKpaH = certainDoseKpaH(facts, part.id, atMs)
  return doseKpaH === null ? null : (doseKpaH / doseLimitKpaH(context, part.id)) * 100
}
