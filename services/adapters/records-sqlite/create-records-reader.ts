import type { Database } from 'better-sqlite3'
import type { Alarm } from '../../core/model/alarm.ts'
import type { Episode } from '../../core/model/episode.ts'
import type { InputOf } from '../../core/model/input.ts'
import type {
  EndedTask,
  HeardSensor,
  QuarantineEntry,
  RecordedEvent,
  RecordsReader,
} from '../../core/model/ports/records.ts'
import { taskSchema, type Task } from '../../core/model/task.ts'
import { createAlarmChangeQueries } from './alarm-changes.ts'
import { correctionQueries } from './corrections.ts'
import { disposalQueries } from './disposals.ts'
import { createCounters } from './counters.ts'
import { logEntryQueries } from './log-entries.ts'
import { createMachineQuarterQuery } from './machine-quarters.ts'
import { createSeriesQueries } from './series-query.ts'

type Json = { json: string }

/** A count for people: beyond this it is many, and not worth reading a whole index. */
const MOST_COUNTED = 1_000_000

/** What screens may ask of the book of record, from the same database. */
export function createSqliteRecordsReader({ db }: { db: Database }): RecordsReader {
  return {
    ...workQueries(db),
    ...createAlarmChangeQueries(db),
    ...disposalQueries(db),
    ...logEntryQueries(db),
    ...correctionQueries(db),
    ...createSeriesQueries(db),
    ...createMachineQuarterQuery(db),
    ...bookQueries(db),
  }
}

function workQueries(
  db: Database,
): Pick<RecordsReader, 'openAlarms' | 'alarm' | 'tasks' | 'task' | 'tasksEnded' | 'episodes'> {
  const openAlarms = db.prepare<[], Json>(
    `SELECT json FROM alarm WHERE state <> 'normal' ORDER BY opened_ms DESC, id DESC`,
  )
  const alarm = db.prepare<[string], Json>('SELECT json FROM alarm WHERE id = ?')
  const tasks = db.prepare<[string, number], Json>(
    'SELECT json FROM task WHERE state IN (SELECT value FROM json_each(?)) ORDER BY changed_ms DESC, opened_ms DESC, id DESC LIMIT ?',
  )
  const task = db.prepare<[string], Json>('SELECT json FROM task WHERE id = ?')
  const ended = db.prepare<[number, number], Json>(
    `SELECT json FROM task WHERE json ->> '$.closedMs' >= ? AND json ->> '$.closedMs' < ? AND state <> 'withdrawn'
     ORDER BY json ->> '$.closedMs', id`,
  )
  const episodes = db.prepare<[number, number], Json>(
    'SELECT json FROM episode WHERE withdrawn = 0 AND from_ms < ? AND (to_ms IS NULL OR to_ms > ?) ORDER BY from_ms, id',
  )
  return {
    openAlarms: () => openAlarms.all().map((row) => JSON.parse(row.json) as Alarm),
    alarm: (id) => parsed<Alarm>(alarm.get(id)),
    tasks: ({ states, limit }) =>
      tasks.all(JSON.stringify(states), limit).map(({ json }) => taskOf(JSON.parse(json))),
    task: (id) => {
      const kept = parsed<unknown>(task.get(id))
      return kept === null ? null : taskOf(kept)
    },
    tasksEnded: ({ fromMs, toMs }) =>
      ended.all(fromMs, toMs).map(({ json }) => {
        const { id, subject, title, state, closedMs } = JSON.parse(json) as EndedTask
        return { id, subject, title, state, closedMs }
      }),
    episodes: ({ fromMs, toMs }) => episodes.all(toMs, fromMs).map((row) => JSON.parse(row.json) as Episode),
  }
}

/** A task that an earlier release wrote lacks what came later: the model's defaults stand in. */
function taskOf(kept: unknown): Task {
  return taskSchema.parse(kept)
}

function bookQueries(
  db: Database,
): Pick<
  RecordsReader,
  | 'heardSensors'
  | 'quarantine'
  | 'counts'
  | 'eventsAfter'
  | 'lastEventId'
  | 'settingsHistory'
  | 'readingsAfterInput'
> {
  const heard = db.prepare<[], HeardSensor>(
    `SELECT sensor_id AS sensorId, node_id AS nodeId, quantity, at_ms AS atMs, received_ms AS receivedMs,
       first_received_ms AS firstReceivedMs, value, interval_ms AS intervalMs, readings FROM heard_sensor ORDER BY sensor_id`,
  )
  const quarantine = db.prepare<[number], QuarantineEntry>(
    `SELECT topic, code, reason, sample, count, first_ms AS firstMs, last_ms AS lastMs FROM quarantine
     ORDER BY last_ms DESC, id DESC LIMIT ?`,
  )
  const counters = createCounters(db)
  const conflicts = db.prepare<[], { n: number }>('SELECT count(*) AS n FROM conflict')
  const inputs = db.prepare<[], { n: number | null }>('SELECT max(seq) AS n FROM input')
  const events = db.prepare<[number, number], Omit<RecordedEvent, 'body'> & Json>(
    'SELECT id, at_ms AS atMs, kind, json FROM event WHERE id > ? ORDER BY id LIMIT ?',
  )
  const lastEvent = db.prepare<[], { id: number | null }>('SELECT max(id) AS id FROM event')
  const afterInput = db.prepare<[number], { n: number }>(
    `SELECT count(*) AS n FROM (SELECT 1 FROM reading WHERE seq > ? LIMIT ${MOST_COUNTED})`,
  )
  const settings = db.prepare<[number], { seq: number } & Json>(
    `SELECT seq, json FROM input WHERE type = 'settings' ORDER BY seq DESC LIMIT ?`,
  )
  return {
    heardSensors: () => heard.all(),
    quarantine: (limit) => quarantine.all(limit),
    counts: () => ({
      readings: counters.get('readings') ?? 0,
      conflicts: conflicts.get()?.n ?? 0,
      quarantined: counters.get('quarantined') ?? 0,
      notJudged: counters.get('notJudged') ?? 0,
      inputs: inputs.get()?.n ?? 0,
    }),
    eventsAfter: ({ afterId, limit }) =>
      events
        .all(afterId, limit)
        .map(({ json, ...rest }) => ({ ...rest, body: JSON.parse(json) as Record<string, unknown> })),
    lastEventId: () => lastEvent.get()?.id ?? 0,
    readingsAfterInput: (seq) => afterInput.get(seq)?.n ?? 0,
    settingsHistory: (limit) =>
      settings.all(limit).map(({ seq, json }) => ({ ...(JSON.parse(json) as InputOf<'settings'>), seq })),
  }
}

function parsed<T>(row: Json | undefined): T | null {
  return row ? (JSON.parse(row.json) as T) : null
}
