import type { Effect } from '../../model/effect.ts'
import type { Episode } from '../../model/episode.ts'
import { orderKeyOf, type Input, type Order } from '../../model/input.ts'
import type { Past } from '../../model/ports/past.ts'
import type { SubjectHistory } from '../../model/ports/records.ts'

/** A late reading reaches back 72 h at most; what is older is needed by nobody. */
const KEPT_MS = 76 * 3_600_000
const PRUNE_EVERY_MS = 3_600_000

/** What a re-run remembers in place of the book of record. Nothing of it leaves. */
export interface RerunBook {
  readonly history: SubjectHistory
  /** An input is about to be taken. `recordSeq` is its number on record, or that of the last one that has one. */
  readonly note: (input: Input, recordSeq: number) => void
  readonly apply: (effect: Effect) => void
  /** Every episode that is not withdrawn: those that were over long ago, too. */
  readonly episodes: () => readonly Episode[]
}

/**
 * A book in memory for one re-run, with what the kernel looks up when a reading comes late: orders, snapshots and
 * episodes of the re-run itself, and the readings of the past. `sinceMs` is when the re-run began: nothing before it was
 * ever heard in it.
 */
export function createRerunBook(
  past: Pick<Past, 'readingsAfter'>,
  { sinceMs, minutesUntilMs }: { sinceMs: number; minutesUntilMs: number },
): RerunBook {
  const orders: Order[] = []
  const snapshots = new Map<string, { throughMs: number; stateJson: string }[]>()
  const recent = new Map<string, Episode>()
  const over: Episode[] = []
  let through = { seq: 0, receivedMs: -Infinity }
  let pruneMs = -Infinity

  const prune = (nowMs: number): void => {
    if (nowMs < pruneMs) return
    pruneMs = nowMs + PRUNE_EVERY_MS
    for (const kept of snapshots.values()) dropWhile(kept, ({ throughMs }) => throughMs < nowMs - KEPT_MS)
    for (const [id, episode] of recent) {
      if (episode.closedMs === null || episode.closedMs >= nowMs - KEPT_MS) continue
      recent.delete(id)
      over.push(episode)
    }
  }
  return {
    note: (input, recordSeq) => {
      if (orderKeyOf(input) !== null) orders.push(input as Order)
      through = { seq: recordSeq, receivedMs: Math.max(through.receivedMs, input.receivedMs) }
      prune(through.receivedMs)
    },
    apply: (effect) => {
      if (effect.type === 'episodeOpened' || effect.type === 'episodeClosed') {
        recent.set(effect.episode.id, effect.episode)
      } else if (effect.type === 'episodeCorrected') {
        recent.delete(effect.previousId)
        recent.set(effect.episode.id, effect.episode)
      } else if (effect.type === 'episodeWithdrawn') recent.delete(effect.episodeId)
      else if (effect.type === 'subjectSnapshot') keepSnapshot(snapshots, effect)
      else if (effect.type === 'subjectSnapshotsDropped') {
        const kept = snapshots.get(effect.subjectKey) ?? []
        snapshots.set(
          effect.subjectKey,
          kept.filter((s) => s.throughMs < effect.fromMs),
        )
      }
    },
    episodes: () => [...over, ...recent.values()],
    history: {
      snapshotBefore: ({ subjectKey, beforeMs }) =>
        snapshots.get(subjectKey)?.findLast((s) => s.throughMs < beforeMs) ?? null,
      ordersFrom: (fromMs) => ordersFrom(orders, fromMs),
      readingsAfter: ({ sensorIds, afterMs }) =>
        past.readingsAfter({
          sensorIds,
          afterMs: Math.max(afterMs, sinceMs - 1),
          throughSeq: through.seq,
          throughMs: through.receivedMs,
          minutesUntilMs,
        }),
      episodesTouchedAfter: ({ subjectKey, afterMs }) =>
        [...recent.values()]
          .filter((e) => e.judgedUnder === subjectKey && (e.closedMs === null || e.closedMs > afterMs))
          .sort((a, b) => a.fromMs - b.fromMs || (a.id < b.id ? -1 : 1)),
    },
  }
}

function keepSnapshot(
  snapshots: Map<string, { throughMs: number; stateJson: string }[]>,
  { subjectKey, throughMs, stateJson }: Extract<Effect, { type: 'subjectSnapshot' }>,
): void {
  const kept = snapshots.get(subjectKey) ?? []
  if (kept.length === 0) snapshots.set(subjectKey, kept)
  const at = kept.findIndex((s) => s.throughMs >= throughMs)
  if (at === -1) kept.push({ throughMs, stateJson })
  else kept.splice(at, kept[at]?.throughMs === throughMs ? 1 : 0, { throughMs, stateJson })
}

/** As SH-2 of the book of record. */
function ordersFrom(orders: readonly Order[], fromMs: number): readonly Order[] {
  const sorted = [...orders].sort((a, b) => a.atMs - b.atMs || a.seq - b.seq)
  const newest = new Map<string | null, Order>()
  for (const order of sorted) if (order.atMs <= fromMs) newest.set(orderKeyOf(order), order)
  newest.delete('act')
  const inForce = new Set(newest.values())
  return sorted.filter((o) => o.atMs > fromMs || inForce.has(o))
}

function dropWhile<T>(list: T[], isOld: (item: T) => boolean): void {
  let old = 0
  for (const item of list) {
    if (!isOld(item)) break
    old++
  }
  if (old > 0) list.splice(0, old)
}
