import type {
  HistoryReader,
  HistoryWindow,
  SeriesSource,
  SourcedSeries,
} from '../core/model/ports/history.ts'
import type { Log } from './log.ts'

const MINUTE_MS = 60_000
const HOUR_MS = 3_600_000
/** What may wait to be handed on without a word: a few seconds of a busy shop. */
const FEW_WAITING = 1_000

type Query = HistoryWindow & { readonly bucketMs: number }

export interface SeriesSourceParts {
  readonly book: HistoryReader
  /** The second store, or null where there is none. */
  readonly influx: HistoryReader | null
  /** Which of the two is asked where both can tell. */
  readonly prefer: 'book' | 'influx'
  /** How long the book keeps single readings. */
  readonly keptMs: number
  readonly waiting: () => number
  readonly nowMs: () => number
  readonly log: Pick<Log, 'warn'>
}

/**
 * FROM-1 the book of record tells a series, unless single readings are asked for that it keeps no longer: those come from
 *        the second store, where there is one and it has them.
 * FROM-2 preferred, the second store tells all but the last hour. While many readings wait to be handed on the book tells
 *        all, since it alone has them.
 * FROM-3 a second store that does not answer is said so in words, and the book tells what it has.
 */
export function createSeriesSource(parts: SeriesSourceParts): SeriesSource {
  const { book, influx, prefer, keptMs, waiting, nowMs, log } = parts
  const fromBook = async (query: Query, note: string | null): Promise<SourcedSeries> => ({
    points: await book.series(query),
    from: 'book',
    note,
  })
  const fromInflux = async (store: HistoryReader, query: Query): Promise<SourcedSeries> => {
    const { bucketMs } = query
    const cutMs = Math.floor((nowMs() - HOUR_MS) / bucketMs) * bucketMs
    const [older, newer] = [
      { ...query, toMs: Math.min(query.toMs, cutMs) },
      { ...query, fromMs: Math.max(query.fromMs, cutMs) },
    ]
    const points = [
      ...(older.fromMs < older.toMs ? await store.series(older) : []),
      ...(newer.fromMs < newer.toMs ? await book.series(newer) : []),
    ]
    return points.length > 0 ? { points, from: 'influx', note: null } : fromBook(query, null)
  }
  return {
    series: async (query) => {
      const gone = query.bucketMs % MINUTE_MS !== 0 && query.fromMs < nowMs() - keptMs
      if (!influx || (prefer === 'book' && !gone)) return fromBook(query, null)
      const behind = waiting()
      if (behind > FEW_WAITING)
        return fromBook(
          query,
          `${behind} readings still wait to be handed on to InfluxDB; this is from here.`,
        )
      try {
        return await fromInflux(influx, query)
      } catch (error) {
        const reason = error instanceof Error ? error.message : String(error)
        log.warn({ reason }, 'the history store did not answer; the book of record did')
        return fromBook(query, `${reason}. This is what is kept here.`)
      }
    },
  }
}
