import type { Database } from 'better-sqlite3'
import {
  refuseBadHistoryQuery,
  type HistoryReader,
  type HistoryTotals,
  type HistoryWindow,
} from '../../core/model/ports/history.ts'
import { ROLLUP_WIDTHS_MS, stretchStartMs } from './rollups.ts'
import { createSeriesQueries } from './series-query.ts'

interface Sum {
  count: number
  sum: number | null
  firstMs: number | null
  lastMs: number | null
}

/** A part of a window: raw readings, or records of one width that lie wholly within it. */
interface Part {
  readonly widthMs: number | null
  readonly fromMs: number
  readonly toMs: number
}

/** The embedded store as a history reader: widest records first, raw readings at the edges. */
export function createSqliteHistoryReader({ db }: { db: Database }): HistoryReader {
  const { series } = createSeriesQueries(db)
  const seriesId = db.prepare<[string, string], { id: number }>(
    'SELECT id FROM series WHERE sensor_id = ? AND quantity = ?',
  )
  const totals = createTotals(db)
  return {
    series: async (query) => {
      refuseBadHistoryQuery(query)
      return series(query)
    },
    totals: async (window) => {
      refuseBadHistoryQuery(window)
      const id = seriesId.get(window.sensorId, window.quantity)?.id
      return id === undefined ? null : totals(id, window)
    },
  }
}

function createTotals(db: Database): (series: number, window: HistoryWindow) => HistoryTotals | null {
  const raw = db.prepare<[number, number, number], Sum>(
    `SELECT count(*) AS count, sum(value) AS sum, min(at_ms) AS firstMs, max(at_ms) AS lastMs
     FROM reading WHERE series = ? AND at_ms >= ? AND at_ms < ?`,
  )
  const recorded = db.prepare<[number, number, number, number], Sum>(
    `SELECT coalesce(sum(n), 0) AS count, sum(sum) AS sum, min(at_ms) AS firstMs, max(last_ms) AS lastMs
     FROM rollup WHERE width_ms = ? AND series = ? AND at_ms >= ? AND at_ms < ?`,
  )
  const [minuteMs] = ROLLUP_WIDTHS_MS
  /** A record knows where its stretch begins, and not when its first reading was: the minute of it is looked up. */
  const firstWithin = (series: number, part: Part): number => {
    const minute = recorded.get(minuteMs, series, part.fromMs, part.toMs)?.firstMs ?? part.fromMs
    return raw.get(series, minute, minute + minuteMs)?.firstMs ?? minute
  }
  return (series, { fromMs, toMs }) => {
    const found = partsOf(fromMs, toMs).flatMap((part): HistoryTotals[] => {
      const { widthMs } = part
      const its =
        widthMs === null
          ? raw.get(series, part.fromMs, part.toMs)
          : recorded.get(widthMs, series, part.fromMs, part.toMs)
      if (!its || its.sum === null || its.firstMs === null || its.lastMs === null) return []
      const firstMs = widthMs === null ? its.firstMs : firstWithin(series, part)
      return [{ count: its.count, sum: its.sum, firstMs, lastMs: its.lastMs }]
    })
    const [first, ...more] = found
    return first === undefined ? null : more.reduce(addTotals, first)
  }
}

/** Two stretches, the earlier one first, as one. */
function addTotals(a: HistoryTotals, b: HistoryTotals): HistoryTotals {
  return { count: a.count + b.count, sum: a.sum + b.sum, firstMs: a.firstMs, lastMs: b.lastMs }
}

/** A window in parts, in order of time, each of the widest records that fit. */
function partsOf(fromMs: number, toMs: number, width: number = ROLLUP_WIDTHS_MS.length - 1): Part[] {
  if (fromMs >= toMs) return []
  const widthMs = ROLLUP_WIDTHS_MS[width]
  if (widthMs === undefined) return [{ widthMs: null, fromMs, toMs }]
  const firstMs = -stretchStartMs(-fromMs, widthMs)
  const endMs = stretchStartMs(toMs, widthMs)
  if (firstMs >= endMs) return partsOf(fromMs, toMs, width - 1)
  return [
    ...partsOf(fromMs, firstMs, width - 1),
    { widthMs, fromMs: firstMs, toMs: endMs },
    ...partsOf(endMs, toMs, width - 1),
  ]
}
