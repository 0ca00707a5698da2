import type { RerunOutcome, RerunView } from '../core/model/rerun.ts'
import type { RerunWord } from './rerun-work.ts'

/** How a re-run stands, as its thread has said so far. */
export interface RerunProgress extends Pick<RerunView, 'state' | 'reason' | 'doing' | 'startedMs'> {
  /** 0 to 1. */
  readonly share: number
  /** By its pace so far; null while that cannot be said. */
  readonly leftMs: number | null
  readonly span: Extract<RerunWord, { type: 'span' }> | null
  readonly outcomes: readonly RerunOutcome[]
}

/** Shorter than this, a pace tells nothing. */
const PACE_AFTER_SHARE = 0.01

export function beginProgress(startedMs: number): RerunProgress {
  const nothingYet = { reason: null, leftMs: null, span: null, outcomes: [] }
  return { state: 'running', share: 0, doing: 'Starting', startedMs, ...nothingYet }
}

export function progressAfter(progress: RerunProgress, word: RerunWord, nowMs: number): RerunProgress {
  switch (word.type) {
    case 'progress': {
      const { share, doing } = word
      return { ...progress, share, doing, leftMs: leftMs(progress.startedMs, share, nowMs) }
    }
    case 'span':
      return { ...progress, span: word }
    case 'outcome':
      return { ...progress, outcomes: [...progress.outcomes, word.outcome] }
  }
}

export function progressFailed(progress: RerunProgress, error: unknown): RerunProgress {
  const why = error instanceof Error ? error.message : String(error)
  const reason = `it broke off (${why}). Nothing else was touched: start it again`
  return { ...progress, state: 'failed', reason, leftMs: null }
}

function leftMs(startedMs: number, share: number, nowMs: number): number | null {
  return share < PACE_AFTER_SHARE ? null : Math.max(0, ((nowMs - startedMs) / share) * (1 - share))
}
