import type { Database } from 'better-sqlite3'
import { orderKeyOf, type Input } from '../../core/model/input.ts'
import type { BookOfRecord } from '../../core/model/ports/records.ts'
import type { Events } from './events.ts'
import { createInputReader } from './input-reader.ts'
import type { ReadingTable } from './readings.ts'
import { RecordsError } from './records-error.ts'

/** The log of inputs. Readings stand in their own table alone (see `input-reader.ts`). */
export function createInputLog(
  db: Database,
  { readings, events }: { readings: ReadingTable; events: Events },
): Pick<BookOfRecord, 'lastSeq' | 'appendInput' | 'inputsAfter'> {
  const newest = db.prepare<[], { seq: number | null }>('SELECT max(seq) AS seq FROM input')
  const insert = db.prepare<[number, string, number, number, string | null, string]>(
    'INSERT INTO input (seq, type, at_ms, received_ms, order_key, json) VALUES (?, ?, ?, ?, ?, ?)',
  )
  const reader = createInputReader(db)
  const lastSeq = (): number => newest.get()?.seq ?? 0
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
    inputsAfter: (afterSeq) => reader.inputs({ afterSeq }),
  }
}

function bodyJson(input: Input): string {
  return JSON.stringify({ ...input, seq: undefined, readings: undefined })
}
