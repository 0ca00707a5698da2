import type { Database } from 'better-sqlite3'
import type { Reading } from '../../core/model/input.ts'
import type { BookOfRecord, SortedReadings, SubjectHistory } from '../../core/model/ports/records.ts'
import type { Counters } from './counters.ts'
import { READING_COLUMNS, type ReadingRow } from './reading-rows.ts'
import type { RollupTable } from './rollups.ts'
import { RecordsError } from './records-error.ts'
import type { SeriesIds } from './series-ids.ts'

export interface ReadingTable extends Pick<BookOfRecord, 'sortReadings' | 'keepConflicts' | 'pruneReadings'> {
  readonly append: (readings: readonly Reading[], seq: number) => void
  readonly after: SubjectHistory['readingsAfter']
}

export function createReadingTable(
  db: Database,
  { ids, counters, rollups }: { ids: SeriesIds; counters: Counters; rollups: RollupTable },
): ReadingTable {
  const insert = db.prepare<[number, number, number, number]>(
    'INSERT INTO reading (series, at_ms, value, seq) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING',
  )
  const insertConflict = db.prepare<[number, number, number, number]>(
    'INSERT INTO conflict (series, at_ms, value, received_ms) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING',
  )
  const after = db.prepare<[string, number], ReadingRow>(
    `SELECT ${READING_COLUMNS} FROM reading r JOIN series s ON s.id = r.series
     WHERE s.sensor_id IN (SELECT value FROM json_each(?)) AND r.at_ms > ? ORDER BY r.at_ms, s.sensor_id, s.quantity`,
  )
  // Series by series, because the table is in order of (series, time): it need not be read from end to end.
  const prune = db.prepare<[number]>(
    'DELETE FROM reading WHERE series IN (SELECT id FROM series) AND at_ms < ?',
  )
  return {
    sortReadings: createSorter(db, ids),
    append: (readings, seq) => {
      for (const { sensorId, quantity, atMs, value } of readings) {
        if (insert.run(ids.make(sensorId, quantity), atMs, value, seq).changes === 0) {
          throw new RecordsError(
            'RECORDS_READING_HELD',
            `input ${seq} brings ${quantity} of ${sensorId} at ${atMs}, which is already held: sort readings first`,
          )
        }
      }
      if (readings.length === 0) return
      rollups.add(readings, ({ sensorId, quantity }) => ids.make(sensorId, quantity))
      counters.add('readings', readings.length)
    },
    keepConflicts: (conflicts, receivedMs) => {
      for (const { sensorId, quantity, atMs, value } of conflicts)
        insertConflict.run(ids.make(sensorId, quantity), atMs, value, receivedMs)
    },
    after: ({ sensorIds, afterMs }) => after.all(JSON.stringify(sensorIds), finite(afterMs)),
    pruneReadings: (beforeMs) => {
      const gone = prune.run(finite(beforeMs)).changes
      if (gone > 0) counters.add('readings', -gone)
      return gone
    },
  }
}

function createSorter(db: Database, ids: SeriesIds): (readings: readonly Reading[]) => SortedReadings {
  const held = db.prepare<[number, number], { value: number }>(
    'SELECT value FROM reading WHERE series = ? AND at_ms = ?',
  )
  return (readings) => {
    const fresh: Reading[] = []
    const conflicts: Reading[] = []
    let resent = 0
    const within = new Map<string, number>()
    for (const reading of readings) {
      const { sensorId, quantity, atMs, value } = reading
      // A pack of one has nothing to be compared with.
      const key = readings.length > 1 ? `${sensorId}|${quantity}|${atMs}` : ''
      const id = ids.find(sensorId, quantity)
      const known = within.get(key) ?? (id === null ? undefined : held.get(id, atMs)?.value)
      if (known === undefined) {
        fresh.push(reading)
        if (key !== '') within.set(key, value)
      } else if (known === value) resent++
      else conflicts.push(reading)
    }
    return { fresh, resent, conflicts }
  }
}

/** The beginning of time, as the kernel writes it, in a number that SQLite takes. */
export function finite(atMs: number): number {
  return Math.min(Math.max(atMs, Number.MIN_SAFE_INTEGER), Number.MAX_SAFE_INTEGER)
}
