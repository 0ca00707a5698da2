import { subjectToJson, type SubjectState } from './subject-state.ts'

const EVERY_READINGS = 32
const KEPT = 16

/**
 * States of the last few hundred readings of each subject, so that a reading that comes a moment late (several
 * connections share the load) need not rebuild a quarter of an hour. Only a shorter way to the same state: nothing
 * here is kept on disk, and a replay without it gives the same effects.
 */
export interface RecentStates {
  /** A reading measured at `atMs` is about to be applied. */
  readonly note: (subjectKey: string, state: SubjectState, atMs: number) => void
  /** The newest state through a time before `beforeMs`, or null. */
  readonly before: (subjectKey: string, beforeMs: number) => { throughMs: number; stateJson: string } | null
  /** States at or after `fromMs` no longer hold. */
  readonly dropFrom: (subjectKey: string, fromMs: number) => void
}

export function createRecentStates(): RecentStates {
  const bySubject = new Map<
    string,
    { countdown: number; states: { throughMs: number; stateJson: string }[] }
  >()
  return {
    note: (subjectKey, state, atMs) => {
      const recent = bySubject.get(subjectKey) ?? { countdown: 0, states: [] }
      bySubject.set(subjectKey, recent)
      if (recent.countdown-- > 0) return
      // Between two readings of one instant the state is through neither.
      if (atMs <= state.throughMs || state.throughMs === -Infinity) return
      recent.countdown = EVERY_READINGS
      recent.states.push({ throughMs: state.throughMs, stateJson: subjectToJson(state) })
      if (recent.states.length > KEPT) recent.states.shift()
    },
    before: (subjectKey, beforeMs) =>
      bySubject.get(subjectKey)?.states.findLast((s) => s.throughMs < beforeMs) ?? null,
    dropFrom: (subjectKey, fromMs) => {
      const recent = bySubject.get(subjectKey)
      if (recent) recent.states = recent.states.filter((s) => s.throughMs < fromMs)
    },
  }
}
