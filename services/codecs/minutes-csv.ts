import type { MinuteRecord } from '../core/model/ports/shop-files.ts'
import { quantitySchema } from '../core/model/quantity.ts'
import { sensorIdSchema } from '../core/model/subject.ts'

/** Columns of a file of minute records, in this order. Times are ms since 1970. */
export const MINUTES_HEADING = 'sensor,quantity,minute_ms,count,min,sum,max,last_ms,last'
const MINUTE_MS = 60_000

export function toMinuteLine({
  sensorId,
  quantity,
  atMs,
  count,
  min,
  sum,
  max,
  lastMs,
  last,
}: MinuteRecord): string {
  return [sensorId, quantity, atMs, count, min, sum, max, lastMs, last].join(',')
}

/** A line as a record; null where it is none. */
export function parseMinuteLine(line: string): MinuteRecord | null {
  const cells = line.split(',')
  const [sensor = '', quantity = '', ...numbers] = cells
  const [atMs = NaN, count = NaN, min = NaN, sum = NaN, max = NaN, lastMs = NaN, last = NaN] = numbers.map(
    (cell) => (cell === '' ? NaN : Number(cell)),
  )
  const sensorId = sensorIdSchema.safeParse(sensor)
  const known = quantitySchema.safeParse(quantity)
  const sound =
    cells.length === 9 &&
    [atMs, count, lastMs].every(Number.isSafeInteger) &&
    [min, sum, max, last].every(Number.isFinite) &&
    atMs % MINUTE_MS === 0 &&
    count > 0 &&
    min <= max &&
    lastMs >= atMs &&
    lastMs < atMs + MINUTE_MS
  if (!sound || !sensorId.success || !known.success) return null
  return { sensorId: sensorId.data, quantity: known.data, atMs, count, min, sum, max, lastMs, last }
}
