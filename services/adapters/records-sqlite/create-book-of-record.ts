import type { Database } from 'better-sqlite3'
import type { Input } from '../../core/model/input.ts'
import type {
  BookOfRecord,
  HeardSensorNote,
  KernelSnapshot,
  PendingMessage,
} from '../../core/model/ports/records.ts'
import { createEffectWriter } from './effects.ts'
import { createSubjectHistory } from './history.ts'
import { createQuarantine } from './quarantine.ts'
import { createReadingTable } from './readings.ts'
import { RecordsError } from './records-error.ts'
import { createSeriesIds } from './series-ids.ts'

interface InputRow {
  seq: number
  type: Input['type']
  json: string
}

/** The book of record in an SQLite database that `openDatabase` opened. */
export function createSqliteBookOfRecord({ db }: { db: Database }): BookOfRecord {
  const ids = createSeriesIds(db)
  const readings = createReadingTable(db, ids)
  const writeEffects = createEffectWriter(db)
  const lastSeq = db.prepare<[], { seq: number | null }>('SELECT max(seq) AS seq FROM input')
  const insertInput = db.prepare<[number, string, number, number, string]>(
    'INSERT INTO input (seq, type, at_ms, received_ms, json) VALUES (?, ?, ?, ?, ?)',
  )
  const addEvent = db.prepare<[number, string, string]>(
    'INSERT INTO event (at_ms, kind, json) VALUES (?, ?, ?)',
  )
  const inputsAfter = db.prepare<[number], InputRow>(
    'SELECT seq, type, json FROM input WHERE seq > ? ORDER BY seq LIMIT 1000',
  )
  const run = db.transaction((work: () => unknown) => work())

  const toInput = ({ seq, type, json }: InputRow): Input => {
    const body = JSON.parse(json) as Record<string, unknown>
    return (type === 'readings'
      ? { ...body, readings: readings.ofInput(seq), seq }
      : { ...body, seq }) as unknown as Input
  }

  return {
    transaction: <T>(work: () => T): T => {
      try {
        return run.immediate(work) as T
      } catch (error) {
        ids.forget()
        throw error
      }
    },
    lastSeq: () => lastSeq.get()?.seq ?? 0,
    sortReadings: readings.sort,
    appendInput: (input) => {
      const expected = (lastSeq.get()?.seq ?? 0) + 1
      if (input.seq !== expected) {
        throw new RecordsError(
          'RECORDS_SEQUENCE',
          `the next input must have seq ${expected}, got ${input.seq}`,
        )
      }
      const { seq, ...body } = input
      const kept = body.type === 'readings' ? { ...body, readings: undefined } : body
      insertInput.run(seq, input.type, input.atMs, input.receivedMs, JSON.stringify(kept))
      if (input.type === 'readings') readings.append(input.readings, seq)
      if (input.type === 'settings') addEvent.run(input.atMs, 'settings', JSON.stringify({ id: String(seq) }))
    },
    keepConflicts: readings.keepConflicts,
    applyEffects: (_seq, effects) => writeEffects(effects),
    inputsAfter: function* (afterSeq) {
      for (
        let rows = inputsAfter.all(afterSeq);
        rows.length > 0;
        rows = inputsAfter.all(rows.at(-1)?.seq ?? 0)
      ) {
        for (const row of rows) yield toInput(row)
      }
    },
    keepRejection: createQuarantine(db),
    pruneReadings: readings.prune,
    history: createSubjectHistory(db, readings),
    ...snapshotMethods(db),
    ...heardMethods(db),
    ...messageMethods(db),
    close: () => db.close(),
  }
}

function snapshotMethods(
  db: Database,
): Pick<
  BookOfRecord,
  'saveKernelSnapshot' | 'latestKernelSnapshot' | 'pruneSubjectSnapshots' | 'lastAliveMs' | 'noteAlive'
> {
  const save = db.prepare<[number, string, string]>(
    `INSERT INTO kernel_snapshot (one, seq, kernel_version, json) VALUES (1, ?, ?, ?)
     ON CONFLICT (one) DO UPDATE SET seq = excluded.seq, kernel_version = excluded.kernel_version, json = excluded.json`,
  )
  const latest = db.prepare<[], KernelSnapshot>(
    'SELECT seq, kernel_version AS kernelVersion, json AS stateJson FROM kernel_snapshot',
  )
  const prune = db.prepare<[number]>('DELETE FROM subject_snapshot WHERE through_ms < ?')
  const noteAlive = db.prepare<[number]>(
    `INSERT INTO counter (name, value) VALUES ('aliveMs', ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value`,
  )
  const alive = db.prepare<[], { value: number }>(`SELECT value FROM counter WHERE name = 'aliveMs'`)
  return {
    saveKernelSnapshot: ({ seq, kernelVersion, stateJson }) => void save.run(seq, kernelVersion, stateJson),
    latestKernelSnapshot: () => latest.get() ?? null,
    pruneSubjectSnapshots: (beforeMs) => void prune.run(beforeMs),
    lastAliveMs: () => alive.get()?.value ?? null,
    noteAlive: (atMs) => void noteAlive.run(atMs),
  }
}

function heardMethods(db: Database): Pick<BookOfRecord, 'noteHeard'> {
  // A late reading tells when a sensor spoke, but not what it says now.
  const put = db.prepare<HeardSensorNote>(
    `INSERT INTO heard_sensor (sensor_id, node_id, quantity, at_ms, received_ms, first_received_ms, value, interval_ms, readings)
     VALUES (@sensorId, @nodeId, @quantity, @atMs, @receivedMs, @receivedMs, @value, @intervalMs, @readings)
     ON CONFLICT (sensor_id) DO UPDATE SET
       node_id = excluded.node_id,
       received_ms = max(received_ms, excluded.received_ms),
       interval_ms = coalesce(excluded.interval_ms, interval_ms),
       readings = readings + excluded.readings,
       quantity = CASE WHEN excluded.at_ms >= at_ms THEN excluded.quantity ELSE quantity END,
       value = CASE WHEN excluded.at_ms >= at_ms THEN excluded.value ELSE value END,
       at_ms = max(at_ms, excluded.at_ms)`,
  )
  return { noteHeard: (heard) => heard.forEach((note) => put.run(note)) }
}

function messageMethods(db: Database): Pick<BookOfRecord, 'pendingMessages' | 'markMessage'> {
  type Row = Omit<PendingMessage, 'body'> & { json: string }
  const pending = db.prepare<[number], Row>(
    `SELECT id, idempotency_key AS idempotencyKey, channel, replace_key AS replaceKey, json, queued_ms AS queuedMs, attempts
     FROM message_outbox WHERE delivered_ms IS NULL AND replaced = 0 ORDER BY id LIMIT ?`,
  )
  const mark = db.prepare<[number, number | null, number]>(
    'UPDATE message_outbox SET attempts = attempts + 1, last_attempt_ms = ?, delivered_ms = ? WHERE id = ?',
  )
  return {
    pendingMessages: (limit) =>
      pending
        .all(limit)
        .map(({ json, ...rest }) => ({ ...rest, body: JSON.parse(json) as Record<string, unknown> })),
    markMessage: ({ id, delivered, atMs }) => void mark.run(atMs, delivered ? atMs : null, id),
  }
}
