import type { Reading } from '../input.ts'
import type { Quantity } from '../quantity.ts'
import type { SeriesPoint } from './records.ts'

/** A reading with what it belonged to when it was taken. */
export interface PlacedReading extends Reading {
  readonly siteId: string
  readonly nodeId: string
  /** Null for a sensor that was assigned to nothing. */
  readonly subject: { readonly kind: 'site' | 'room' | 'machine' | 'bottle'; readonly id: string } | null
  /** The room of the subject itself, or of its machine; null where there is none, or more than one. */
  readonly roomId: string | null
}

/** Why the store did not take readings. */
export class HistoryRefusedError extends Error {
  override readonly name = 'HistoryRefusedError'
  readonly code = 'HISTORY_REFUSED'
}

/** A store of years beside the book of record. */
export interface HistoryWriter {
  /**
   * HW-1: resolves once the store holds all of them.
   * HW-2: the same readings again change nothing.
   * HW-3: rejects when the store cannot be reached or is not ready: then all may be offered again later. Rejects with
   * HistoryRefusedError when the store says that these very readings will never do.
   */
  write: (readings: readonly PlacedReading[]) => Promise<void>
}

/** A stretch of one sensor's readings of one quantity: `fromMs` belongs to it, `toMs` does not. */
export interface HistoryWindow {
  readonly sensorId: string
  readonly quantity: Quantity
  readonly fromMs: number
  readonly toMs: number
}

export interface HistoryTotals {
  readonly count: number
  readonly sum: number
  readonly firstMs: number
  readonly lastMs: number
}

/** Most buckets that may be asked for at once. */
export const MOST_BUCKETS = 200_000

/** A question that no store can answer; the message names the field and the cure. */
export class HistoryQueryError extends Error {
  override readonly name = 'HistoryQueryError'
  readonly code = 'HISTORY_QUERY'
}

/** The store did not answer, or not with what was asked for; the message says so in words, with the cure, and holds no secret. */
export class HistoryUnreachableError extends Error {
  override readonly name = 'HistoryUnreachableError'
  readonly code = 'HISTORY_UNREACHABLE'
}

/** What any store of readings can tell of a series. */
export interface HistoryReader {
  /**
   * HR-1: buckets of the readings in the window, oldest first, each with min, mean, max and the last value. All of them,
   * however many.
   * HR-2: buckets begin at multiples of `bucketMs` from 1970 on, and before it; an empty one is left out.
   */
  series: (query: HistoryWindow & { readonly bucketMs: number }) => Promise<readonly SeriesPoint[]>
  /**
   * HR-3: how many readings the window holds, their sum, and when the first and the last were measured; null where there
   * are none. Where only records of minutes are left, the first is told to the minute, and a minute that the window cuts
   * is left out.
   */
  totals: (query: HistoryWindow) => Promise<HistoryTotals | null>
  /**
   * For both:
   * HR-4: one sensor and one quantity alone, whatever stands in the sensor's name.
   * HR-5: rejects with HistoryQueryError what `historyQueryProblem` finds.
   * HR-6: rejects with HistoryUnreachableError where the store cannot be reached, and answers when it is back.
   */
}

/** What is wrong with a question, or null. */
export function historyQueryProblem(query: HistoryWindow & { readonly bucketMs?: number }): string | null {
  const { fromMs, toMs, bucketMs } = query
  if (!Number.isSafeInteger(fromMs) || !Number.isSafeInteger(toMs))
    return 'fromMs, toMs: give whole milliseconds since 1970'
  if (fromMs >= toMs) return 'toMs: must be later than fromMs'
  if (bucketMs === undefined) return null
  if (!Number.isSafeInteger(bucketMs) || bucketMs < 1)
    return 'bucketMs: give whole milliseconds, 1 at the least'
  return (toMs - fromMs) / bucketMs > MOST_BUCKETS
    ? `bucketMs: more than ${MOST_BUCKETS} buckets; ask for wider ones, or for less time`
    : null
}

/** @throws {HistoryQueryError} */
export function refuseBadHistoryQuery(query: HistoryWindow & { readonly bucketMs?: number }): void {
  const problem = historyQueryProblem(query)
  if (problem !== null) throw new HistoryQueryError(problem)
}

/** A series for a chart, and where it came from. */
export interface SourcedSeries {
  readonly points: readonly SeriesPoint[]
  /** `book`: the book of record; `influx`: the second store. */
  readonly from: 'book' | 'influx'
  /** What a person should know of it, in words; null where there is nothing. */
  readonly note: string | null
}

/** Series from whichever store is meant to tell them. */
export interface SeriesSource {
  readonly series: (query: HistoryWindow & { readonly bucketMs: number }) => Promise<SourcedSeries>
}
