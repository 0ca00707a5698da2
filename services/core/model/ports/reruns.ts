import type { LimitChoice, RerunOrder, RerunView } from '../rerun.ts'

export type RerunStart =
  | { readonly ok: true; readonly id: string }
  | { readonly ok: false; readonly code: 'invalid' | 'conflict'; readonly reason: string }

/** What of a re-run is put into use, and what speaks for it. */
export type RerunUse =
  | { readonly ok: true; readonly limit: string; readonly value: number; readonly why: string }
  | { readonly ok: false; readonly code: 'unknown' | 'conflict'; readonly reason: string }

/** The stored past under other limits, one at a time. Nothing of it is told to anybody or written anywhere. */
export interface Reruns {
  choices: () => readonly LimitChoice[]
  start: (order: RerunOrder) => RerunStart
  /** The newest re-run, or null. */
  newest: () => RerunView | null
  look: (id: string) => RerunView | null
  /** False when it does not run. */
  stop: (id: string) => boolean
  /** The tried value of a re-run, or another of its curve, with its figures in a sentence. */
  use: (id: string, value: number | null) => RerunUse
}
