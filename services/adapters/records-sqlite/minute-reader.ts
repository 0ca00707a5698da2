import type { Database } from 'better-sqlite3'
import type { Input } from '../../core/model/input.ts'
import { createSeriesNames } from './input-reader.ts'

const MINUTE_MS = 60_000
/** How much of the past is held in memory at a time. */
const HELPING_MS = 6 * 3_600_000

/** A row of `rollup`, bare: series, last_ms, last. */
type BareRow = [number, number, number]

export interface MinuteReader {
  /** The last reading of each minute within [fromMs, toMs), as if it had arrived when it was measured; in order of time. */
  readonly inputs: (range: { fromMs: number; toMs: number }) => Generator<Input>
}

/** The past out of records of a minute, which are kept for good. */
export function createMinuteReader(db: Database): MinuteReader {
  const ids = db.prepare<[], { id: number }>('SELECT id FROM series')
  const rows = db
    .prepare<[number, number, number], BareRow>(
      `SELECT series, last_ms, last FROM rollup WHERE width_ms = ${MINUTE_MS} AND series = ? AND at_ms >= ? AND at_ms < ?`,
    )
    .raw()
  const names = createSeriesNames(db)
  return {
    inputs: function* ({ fromMs, toMs }) {
      const series = ids.all().map(({ id }) => id)
      for (let at = Math.ceil(fromMs / MINUTE_MS) * MINUTE_MS; at < toMs; at += HELPING_MS) {
        const some = series.flatMap((id) => rows.all(id, at, Math.min(at + HELPING_MS, toMs)))
        some.sort((a, b) => a[1] - b[1] || names.of(a[0]).rank - names.of(b[0]).rank)
        for (let i = 0; i < some.length;) {
          const atMs = some[i]?.[1] ?? 0
          const readings = []
          for (let row = some[i]; row?.[1] === atMs; row = some[++i]) {
            const { sensorId, quantity } = names.of(row[0])
            readings.push({ sensorId, quantity, atMs, value: row[2] })
          }
          yield { type: 'readings', seq: 0, atMs, receivedMs: atMs, nodeId: 'minutes', readings }
        }
      }
    },
  }
}
