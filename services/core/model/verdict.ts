import type { Exposure } from './night-exposure.ts'

export const VERDICT_KINDS = [
  'cannotTell',
  'notTested',
  'nothingSeen',
  'goesTogether',
  'againstExpectation',
] as const
export type VerdictKind = (typeof VERDICT_KINDS)[number]

/** What may be said of one exposure. */
export interface Verdict {
  readonly exposure: Exposure
  readonly kind: VerdictKind
  /** 1: more of it, more clogs; -1: less of it, more clogs; 0 where nothing is claimed. */
  readonly direction: 1 | -1 | 0
  readonly text: string
}
