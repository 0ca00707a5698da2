import type { Condition } from '../../services/core/model/episode.ts'
import type { TrueSpan } from './match-episodes.ts'

/** 0: it does not hold. 1: near a limit, or nobody could know. 2: it surely holds. */
export type Level = 0 | 1 | 2

export interface ConditionTruth {
  readonly condition: Condition
  readonly spans: readonly TrueSpan[]
}

interface Watched {
  readonly condition: Condition
  readonly subject: string
  readonly spans: TrueSpan[]
  greyMs: number | null
  sureMs: number | null
  sureDelayMs: number
  sureSlackMs: number
}

/** Turns what held, minute by minute, into spans of each condition and subject. */
export interface SpanRecorder {
  /**
   * `delayMs`: the condition's own delay for a stretch that begins now. A sure stretch that lasts no longer than that and
   * `slackMs` is grey: nobody promised to see it.
   */
  readonly note: (
    what: { readonly condition: Condition; readonly subject: string },
    level: Level,
    time: { readonly atMs: number; readonly delayMs: number; readonly slackMs: number },
  ) => void
  readonly finish: (atMs: number) => readonly ConditionTruth[]
}

export function createSpanRecorder(): SpanRecorder {
  const watched = new Map<Condition, Map<string, Watched>>()

  const find = (condition: Condition, subject: string): Watched => {
    let ofCondition = watched.get(condition)
    if (!ofCondition) watched.set(condition, (ofCondition = new Map<string, Watched>()))
    let one = ofCondition.get(subject)
    if (!one) {
      one = { condition, subject, spans: [], greyMs: null, sureMs: null, sureDelayMs: 0, sureSlackMs: 0 }
      ofCondition.set(subject, one)
    }
    return one
  }
  const endSure = (one: Watched, atMs: number): void => {
    if (one.sureMs === null) return
    const dueMs = one.sureMs + one.sureDelayMs
    if (atMs > dueMs + one.sureSlackMs) {
      one.spans.push({ subject: one.subject, fromMs: one.sureMs, toMs: atMs, dueMs, sure: true })
    }
    one.sureMs = null
  }
  const endGrey = (one: Watched, atMs: number): void => {
    if (one.greyMs === null) return
    one.spans.push({ subject: one.subject, fromMs: one.greyMs, toMs: atMs, dueMs: one.greyMs, sure: false })
    one.greyMs = null
  }

  return {
    note: ({ condition, subject }, level, { atMs, delayMs, slackMs }) => {
      const one = find(condition, subject)
      if (level === 2 && one.sureMs === null) {
        one.sureMs = atMs
        one.sureDelayMs = delayMs
        one.sureSlackMs = slackMs
      }
      if (level < 2) endSure(one, atMs)
      if (level >= 1) one.greyMs ??= atMs
      else endGrey(one, atMs)
    },
    finish: (atMs) =>
      [...watched].map(([condition, subjects]) => {
        for (const one of subjects.values()) {
          endSure(one, atMs)
          endGrey(one, atMs)
        }
        return { condition, spans: [...subjects.values()].flatMap((one) => one.spans) }
      }),
  }
}
