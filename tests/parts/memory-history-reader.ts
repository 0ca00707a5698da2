import {
  HistoryUnreachableError,
  refuseBadHistoryQuery,
  type HistoryReader,
  type HistoryWindow,
  type PlacedReading,
} from '../../services/core/model/ports/history.ts'
import { plainSeries, type ReadHistory } from '../contracts/history-reader.contract.ts'

/** A store of readings in memory: what the contract of the reader asks, and nothing more. */
export function createMemoryHistory(): ReadHistory {
  const held = new Map<string, PlacedReading>()
  let away = false
  const inside = ({ sensorId, quantity, fromMs, toMs }: HistoryWindow): [number, number][] => {
    if (away) throw new HistoryUnreachableError('the store in memory cannot be reached: bring it back')
    return [...held.values()]
      .filter((r) => r.sensorId === sensorId && r.quantity === quantity && r.atMs >= fromMs && r.atMs < toMs)
      .sort((a, b) => a.atMs - b.atMs)
      .map((r) => [r.atMs, r.value])
  }
  const reader: HistoryReader = {
    series: async (query) => {
      refuseBadHistoryQuery(query)
      return plainSeries(inside(query), query)
    },
    totals: async (query) => {
      refuseBadHistoryQuery(query)
      const found = inside(query)
      const [first, last] = [found[0], found.at(-1)]
      return first && last
        ? {
            count: found.length,
            sum: found.reduce((sum, [, value]) => sum + value, 0),
            firstMs: first[0],
            lastMs: last[0],
          }
        : null
    },
  }
  return {
    reader,
    write: async (readings) => {
      for (const r of readings) held.set(`${r.sensorId}|${r.quantity}|${r.atMs}`, r)
    },
    cut: async (next) => void (away = next),
  }
}
