import type { Database } from 'better-sqlite3'
import type { Reading } from '../../core/model/input.ts'
import type { SortedReadings } from '../../core/model/ports/records.ts'
import type { Quantity } from '../../core/model/quantity.ts'
import type { SeriesIds } from './series-ids.ts'

interface ReadingRow {
  sensorId: string
  quantity: Quantity
  atMs: number
  value: number
}

const COLUMNS = 's.sensor_id AS sensorId, s.quantity AS quantity, r.at_ms AS atMs, r.value AS value'

export interface ReadingTable {
  readonly sort: (readings: readonly Reading[]) => SortedReadings
  readonly append: (readings: readonly Reading[], seq: number) => void
  readonly keepConflicts: (conflicts: readonly Reading[], receivedMs: number) => void
  /** In order of (atMs, sensorId, quantity): the order in which the engine hands a pack over. */
  readonly ofInput: (seq: number) => readonly Reading[]
  readonly after: (query: { sensorIds: readonly string[]; afterMs: number }) => readonly Reading[]
  readonly prune: (beforeMs: number) => number
}

export function createReadingTable(db: Database, ids: SeriesIds): ReadingTable {
  const held = db.prepare<[number, number], { value: number }>(
    'SELECT value FROM reading WHERE series = ? AND at_ms = ?',
  )
  const insert = db.prepare<[number, number, number, number]>(
    'INSERT INTO reading (series, at_ms, value, seq) VALUES (?, ?, ?, ?)',
  )
  const insertConflict = db.prepare<[number, number, number, number]>(
    'INSERT INTO conflict (series, at_ms, value, received_ms) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING',
  )
  const ofInput = db.prepare<[number], ReadingRow>(
    `SELECT ${COLUMNS} FROM reading r JOIN series s ON s.id = r.series WHERE r.seq = ? ORDER BY r.at_ms, s.sensor_id, s.quantity`,
  )
  const after = db.prepare<[string, number], ReadingRow>(
    `SELECT ${COLUMNS} FROM reading r JOIN series s ON s.id = r.series
     WHERE s.sensor_id IN (SELECT value FROM json_each(?)) AND r.at_ms > ? ORDER BY r.at_ms, s.sensor_id, s.quantity`,
  )
  const prune = db.prepare<[number]>('DELETE FROM reading WHERE at_ms < ?')

  return {
    sort: (readings) => {
      const fresh: Reading[] = []
      const conflicts: Reading[] = []
      let resent = 0
      const within = new Map<string, number>()
      for (const reading of readings) {
        const { sensorId, quantity, atMs, value } = reading
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
    },
    append: (readings, seq) => {
      for (const { sensorId, quantity, atMs, value } of readings)
        insert.run(ids.make(sensorId, quantity), atMs, value, seq)
    },
    keepConflicts: (conflicts, receivedMs) => {
      for (const { sensorId, quantity, atMs, value } of conflicts) {
        insertConflict.run(ids.make(sensorId, quantity), atMs, value, receivedMs)
      }
    },
    ofInput: (seq) => ofInput.all(seq),
    after: ({ sensorIds, afterMs }) => after.all(JSON.stringify(sensorIds), finite(afterMs)),
    prune: (beforeMs) => prune.run(beforeMs).changes,
  }
}

/** The beginning of time, as the kernel writes it, in a number that SQLite takes. */
export function finite(atMs: number): number {
  return Math.max(atMs, Number.MIN_SAFE_INTEGER)
}
