import type { Database } from 'better-sqlite3'
import type { Input, Reading } from '../../core/model/input.ts'
import type { Quantity } from '../../core/model/quantity.ts'

interface InputRow {
  seq: number
  type: Input['type']
  json: string
}

/** A row of `reading`, bare: seq, series, at_ms, value. */
type BareRow = [number, number, number, number]

/** How many inputs a replay holds in memory at a time. No statement stays open between two such helpings. */
const READ_AT_ONCE = 1000

export interface InputReader {
  /** Inputs with afterSeq < seq <= throughSeq in order, readings included; some kinds may be left out. */
  readonly inputs: (range: InputRange) => Generator<Input>
}

export interface InputRange {
  readonly afterSeq: number
  readonly throughSeq?: number
  readonly without?: readonly Input['type'][]
}

/**
 * Reads the log. Readings stand in their own table alone, and are put back into their inputs by seq: all of a helping at
 * once, in order of (atMs, sensorId, quantity), the order in which the engine hands a pack over, so none is stored.
 */
export function createInputReader(db: Database): InputReader {
  const rows = db.prepare<[number, number, string], InputRow>(
    `SELECT seq, type, json FROM input WHERE seq > ? AND seq <= ?
       AND type NOT IN (SELECT value FROM json_each(?)) ORDER BY seq LIMIT ${READ_AT_ONCE}`,
  )
  const bare = db
    .prepare<[number, number], BareRow>(
      'SELECT seq, series, at_ms, value FROM reading WHERE seq >= ? AND seq <= ? ORDER BY seq',
    )
    .raw()
  const names = createSeriesNames(db)
  return {
    inputs: function* ({ afterSeq, throughSeq = Number.MAX_SAFE_INTEGER, without = [] }) {
      const take = (after: number): InputRow[] => rows.all(after, throughSeq, JSON.stringify(without))
      for (let some = take(afterSeq); some.length > 0; some = take(some.at(-1)?.seq ?? 0)) {
        const hasReadings = !without.includes('readings')
        const readings = hasReadings
          ? bySeq(bare.all(some[0]?.seq ?? 0, some.at(-1)?.seq ?? 0), names)
          : NO_READINGS
        for (const { seq, type, json } of some) {
          const body = JSON.parse(json) as Input
          yield type === 'readings'
            ? ({ ...body, seq, readings: readings.get(seq) ?? [] } as Input)
            : { ...body, seq }
        }
      }
    },
  }
}

const NO_READINGS: ReadonlyMap<number, Reading[]> = new Map()

function bySeq(rows: readonly BareRow[], names: SeriesNames): ReadonlyMap<number, Reading[]> {
  const found = new Map<number, BareRow[]>()
  for (const row of rows) {
    const own = found.get(row[0])
    if (own) own.push(row)
    else found.set(row[0], [row])
  }
  const readings = new Map<number, Reading[]>()
  for (const [seq, own] of found) {
    if (own.length > 1) own.sort((a, b) => a[2] - b[2] || names.of(a[1]).rank - names.of(b[1]).rank)
    readings.set(
      seq,
      own.map(([, series, atMs, value]) => {
        const { sensorId, quantity } = names.of(series)
        return { sensorId, quantity, atMs, value }
      }),
    )
  }
  return readings
}

interface SeriesName {
  readonly sensorId: string
  readonly quantity: Quantity
  /** Its place in order of (sensorId, quantity). */
  readonly rank: number
}

export interface SeriesNames {
  readonly of: (series: number) => SeriesName
}

/** Names of series by their number; looked up anew when one is not known yet. */
export function createSeriesNames(db: Database): SeriesNames {
  const all = db.prepare<[], { id: number; sensorId: string; quantity: Quantity }>(
    'SELECT id, sensor_id AS sensorId, quantity FROM series ORDER BY sensor_id, quantity',
  )
  let known = new Map<number, SeriesName>()
  return {
    of: (series) => {
      if (!known.has(series)) {
        known = new Map(
          all.all().map(({ id, sensorId, quantity }, rank) => [id, { sensorId, quantity, rank }]),
        )
      }
      const name = known.get(series)
      if (!name) throw new RangeError(`there is no series ${series}`)
      return name
    },
  }
}
