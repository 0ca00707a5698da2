export type Point = readonly [atMs: number, value: number]
export type Run = readonly Point[]

export interface Span {
  readonly fromMs: number
  readonly toMs: number
}

/** A first reading this much after the left edge is no gap yet: the store's buckets are some minutes wide. */
const EDGE_MS = 20 * 60_000

/**
 * The stretches of the past in which nothing was read: before the first point, between runs, and after the last when
 * the value is not known now. They are drawn as gaps, never bridged: unknown is not fine.
 */
export function gapsOf(spans: readonly Span[], past: Span, knownNow: boolean): readonly Span[] {
  const inside = spans.filter((s) => s.toMs >= past.fromMs && s.fromMs <= past.toMs)
  const first = inside[0]
  const last = inside.at(-1)
  if (!first || !last) return [{ fromMs: past.fromMs, toMs: past.toMs }]
  const gaps: Span[] = []
  if (first.fromMs - past.fromMs > EDGE_MS) gaps.push({ fromMs: past.fromMs, toMs: first.fromMs })
  inside.forEach((span, at) => {
    const next = inside[at + 1]
    if (next && next.fromMs > span.toMs) gaps.push({ fromMs: span.toMs, toMs: next.fromMs })
  })
  if (!knownNow && last.toMs < past.toMs) gaps.push({ fromMs: last.toMs, toMs: past.toMs })
  return gaps
}

/** Each run as the stretch from its first point to its last. */
export function spansOfRuns(runs: readonly Run[]): readonly Span[] {
  return runs.flatMap((run) => {
    const first = run[0]
    const last = run.at(-1)
    return first && last ? [{ fromMs: first[0], toMs: last[0] }] : []
  })
}

/** Runs with the value of now at the end of the last one, so that its line reaches the line of now. */
export function runsToNow(runs: readonly Run[], value: number | null, nowMs: number): readonly Run[] {
  const last = runs.at(-1)
  const end = last?.at(-1)
  if (value === null || !last || !end || end[0] >= nowMs) return runs
  return [...runs.slice(0, -1), [...last, [nowMs, value]]]
}
