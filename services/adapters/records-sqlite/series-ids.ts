import type { Database } from 'better-sqlite3'
import type { Quantity } from '../../core/model/quantity.ts'

export interface SeriesIds {
  /** The id of a series that is known, or null. */
  readonly find: (sensorId: string, quantity: Quantity) => number | null
  readonly make: (sensorId: string, quantity: Quantity) => number
  /** A transaction was rolled back: what it made is gone. */
  readonly forget: () => void
}

/** A small number for each pair of sensor and quantity, remembered, since every reading needs it. */
export function createSeriesIds(db: Database): SeriesIds {
  const select = db.prepare<[string, string], { id: number }>(
    'SELECT id FROM series WHERE sensor_id = ? AND quantity = ?',
  )
  const insert = db.prepare<[string, string]>('INSERT INTO series (sensor_id, quantity) VALUES (?, ?)')
  const known = new Map<string, number>()
  const find = (sensorId: string, quantity: Quantity): number | null => {
    const key = `${quantity}|${sensorId}`
    const id = known.get(key) ?? select.get(sensorId, quantity)?.id ?? null
    if (id !== null) known.set(key, id)
    return id
  }
  return {
    find,
    make: (sensorId, quantity) => {
      const id = find(sensorId, quantity) ?? Number(insert.run(sensorId, quantity).lastInsertRowid)
      known.set(`${quantity}|${sensorId}`, id)
      return id
    },
    forget: () => known.clear(),
  }
}
