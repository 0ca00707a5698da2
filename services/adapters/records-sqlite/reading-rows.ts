import type { Quantity } from '../../core/model/quantity.ts'

/** A row of `reading`, with its series' names, as the model has it. */
export interface ReadingRow {
  sensorId: string
  quantity: Quantity
  atMs: number
  value: number
}

/** For a query that calls `reading` r and `series` s. */
export const READING_COLUMNS =
  's.sensor_id AS sensorId, s.quantity AS quantity, r.at_ms AS atMs, r.value AS value'
