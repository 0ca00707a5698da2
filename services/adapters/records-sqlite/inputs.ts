import type { Database } from 'better-sqlite3'
import { orderKeyOf, type Input } from '../../core/model/input.ts'
import type { BookOfRecord } from '../../core/model/ports/records.ts'
import type { Events } from './events.ts'
import type { ReadingTable } from './readings.ts'
import { RecordsError } from './records-error.ts'

interface InputRow {
  seq: number
  type: Input['type']
  json: string
}

/** How many inputs a replay holds in memory at a time. */
const READ_AT_ONCE = 1000

/** The log of inputs. Readings stand in their own table alone, and are put back into their input by its seq. */
export function createInputLog(
  db: Database,
  { readings, events }: { readings: ReadingTable; events: Events },
): Pick<BookOfRecord, 'lastSeq' | 'appendInput' | 'inputsAfter'> {
  const newest = db.prepare<[], { seq: number | null }>('SELECT max(seq) AS seq FROM input')
  const insert = db.prepare<[number, string, number, number, string | null, string]>(
    'INSERT INTO input (seq, type, at_ms, received_ms, order_key, json) VALUES (?, ?, ?, ?, ?, ?)',
  )
  const after = db.prepare<[number], InputRow>(
    `SELECT seq, type, json FROM input WHERE seq > ? ORDER BY seq LIMIT ${READ_AT_ONCE}`,
  )
  const lastSeq = (): number => newest.get()?.seq ?? 0
  const toInput = ({ seq, type, json }: InputRow): Input => {
    const body = JSON.parse(json) as object
    const whole = type === 'readings' ? { ...body, seq, readings: readings.ofInput(seq) } : { ...body, seq }
    return whole as Input
  }
  return {
    lastSeq,
    appendInput: (input) => {
      const expected = lastSeq() + 1
      if (input.seq !== expected) {
        throw new RecordsError(
          'RECORDS_SEQUENCE',
          `the next input must have seq ${expected}, got ${input.seq}`,
        )
      }
      const { seq, type, atMs, receivedMs } = input
      insert.run(seq, type, atMs, receivedMs, orderKeyOf(input), bodyJson(input))
      if (input.type === 'readings') readings.append(input.readings, input.seq)
      if (input.type === 'settings') events.add(input.atMs, 'settings', { id: String(input.seq) })
    },
    inputsAfter: function* (afterSeq) {
      for (let rows = after.all(afterSeq); rows.length > 0; rows = after.all(rows.at(-1)?.seq ?? 0)) {
        for (const row of rows) yield toInput(row)
      }
    },
  }
}

function bodyJson(input: Input): string {
  return JSON.stringify({ ...input, seq: undefined, readings: undefined })
}
