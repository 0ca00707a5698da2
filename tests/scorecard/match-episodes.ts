/** A stretch in which a condition truly held. */
export interface TrueSpan {
  /** Key of the subject, as `subjectKey` makes it. */
  readonly subject: string
  readonly fromMs: number
  /** Infinity while it still holds. */
  readonly toMs: number
  /** When its own delay was over: from then on it ought to be known. */
  readonly dueMs: number
  /** False in the grey zone around a limit, or where nobody could know: neither a hit nor a false alarm. */
  readonly sure: boolean
}

export interface FoundEpisode {
  readonly subject: string
  readonly fromMs: number
  readonly openedMs: number
  /** Infinity while it is open. */
  readonly toMs: number
}

export interface Match {
  readonly occasions: number
  readonly hits: number
  readonly misses: readonly TrueSpan[]
  readonly falseAlarms: readonly FoundEpisode[]
  /** Of each hit, how long after `dueMs` it was known; 0 when it was known before. */
  readonly delaysMs: readonly number[]
}

/**
 * Holds what was found of one condition against what was true.
 *
 * MATCH-1 a sure span is hit by an episode of its subject that opened before the span was over and was not closed before
 *         it began; else it is missed.
 * MATCH-2 an episode that touches no span of its subject, sure or grey, is a false alarm.
 * MATCH-3 both reach as far as the tolerance beyond a span's ends.
 */
export function matchEpisodes(
  truth: readonly TrueSpan[],
  episodes: readonly FoundEpisode[],
  { toleranceMs }: { readonly toleranceMs: number },
): Match {
  const found = bySubject(episodes)
  const spans = bySubject(truth)
  const misses: TrueSpan[] = []
  const delaysMs: number[] = []
  for (const span of truth) {
    if (!span.sure) continue
    const hit = first(
      (found.get(span.subject) ?? []).filter(
        (e) => e.openedMs <= span.toMs + toleranceMs && e.toMs >= span.fromMs - toleranceMs,
      ),
    )
    if (hit) delaysMs.push(Math.max(0, hit.openedMs - span.dueMs))
    else misses.push(span)
  }
  const falseAlarms = episodes.filter(
    (e) =>
      !(spans.get(e.subject) ?? []).some(
        (s) => e.fromMs <= s.toMs + toleranceMs && e.toMs >= s.fromMs - toleranceMs,
      ),
  )
  return { occasions: delaysMs.length + misses.length, hits: delaysMs.length, misses, falseAlarms, delaysMs }
}

function first(episodes: readonly FoundEpisode[]): FoundEpisode | undefined {
  return episodes.reduce<FoundEpisode | undefined>(
    (a, b) => (a && a.openedMs <= b.openedMs ? a : b),
    undefined,
  )
}

function bySubject<T extends { readonly subject: string }>(items: readonly T[]): Map<string, T[]> {
  const groups = new Map<string, T[]>()
  for (const item of items) {
    const group = groups.get(item.subject)
    if (group) group.push(item)
    else groups.set(item.subject, [item])
  }
  return groups
}
