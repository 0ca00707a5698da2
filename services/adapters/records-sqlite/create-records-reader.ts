import type { Database } from 'better-sqlite3'
import type { Alarm } from '../../core/model/alarm.ts'
import type { Episode } from '../../core/model/episode.ts'
import type { InputOf, Reading } from '../../core/model/input.ts'
import type {
  HeardSensor,
  QuarantineEntry,
  RecordedEvent,
  RecordsReader,
  SeriesPoint,
} from '../../core/model/ports/records.ts'
import type { Task } from '../../core/model/task.ts'

type Json = { json: string }

/** What screens may ask of the book of record, from the same database. */
export function createSqliteRecordsReader({ db }: { db: Database }): RecordsReader {
  return { ...workQueries(db), ...readingQueries(db), ...bookQueries(db) }
}

function workQueries(
  db: Database,
): Pick<RecordsReader, 'openAlarms' | 'alarm' | 'tasks' | 'task' | 'episodes'> {
  const openAlarms = db.prepare<[], Json>(
    `SELECT json FROM alarm WHERE state <> 'normal' ORDER BY opened_ms DESC, id DESC`,
  )
  const alarm = db.prepare<[string], Json>('SELECT json FROM alarm WHERE id = ?')
  const tasks = db.prepare<[string, number], Json>(
    'SELECT json FROM task WHERE state IN (SELECT value FROM json_each(?)) ORDER BY changed_ms DESC, opened_ms DESC, id DESC LIMIT ?',
  )
  const task = db.prepare<[string], Json>('SELECT json FROM task WHERE id = ?')
  const episodes = db.prepare<[number, number], Json>(
    'SELECT json FROM episode WHERE withdrawn = 0 AND from_ms < ? AND (to_ms IS NULL OR to_ms > ?) ORDER BY from_ms, id',
  )
  return {
    openAlarms: () => openAlarms.all().map((row) => JSON.parse(row.json) as Alarm),
    alarm: (id) => parsed<Alarm>(alarm.get(id)),
    tasks: ({ states, limit }) =>
      tasks.all(JSON.stringify(states), limit).map((row) => JSON.parse(row.json) as Task),
    task: (id) => parsed<Task>(task.get(id)),
    episodes: ({ fromMs, toMs }) => episodes.all(toMs, fromMs).map((row) => JSON.parse(row.json) as Episode),
  }
}

function readingQueries(db: Database): Pick<RecordsReader, 'latestReadings' | 'series' | 'readingBefore'> {
  const columns = 's.sensor_id AS sensorId, s.quantity AS quantity, r.at_ms AS atMs, r.value AS value'
  const latest = db.prepare<[], Reading>(
    `SELECT ${columns} FROM series s
     JOIN reading r ON r.series = s.id AND r.at_ms = (SELECT max(at_ms) FROM reading WHERE series = s.id) ORDER BY s.sensor_id`,
  )
  const before = db.prepare<[string, number], Reading>(
    `SELECT ${columns} FROM reading r JOIN series s ON s.id = r.series
     WHERE s.sensor_id = ? AND r.at_ms < ? ORDER BY r.at_ms DESC LIMIT 1`,
  )
  // JS numbers bind as REAL, so both sides of the division are cast; floor division that holds below 1970 too is not
  // needed, since nothing before 2020 gets in.
  const series = db.prepare<
    { sensorId: string; fromMs: number; toMs: number; bucketMs: number },
    SeriesPoint
  >(
    `WITH bucketed AS (
       SELECT (r.at_ms / CAST(@bucketMs AS INTEGER)) * CAST(@bucketMs AS INTEGER) AS bucket, r.at_ms AS at_ms, r.value AS value
       FROM reading r JOIN series s ON s.id = r.series
       WHERE s.sensor_id = @sensorId AND r.at_ms >= @fromMs AND r.at_ms < @toMs
     )
     SELECT bucket AS atMs, min(value) AS min, avg(value) AS mean, max(value) AS max,
       (SELECT value FROM bucketed b WHERE b.bucket = g.bucket ORDER BY b.at_ms DESC LIMIT 1) AS last
     FROM bucketed g GROUP BY bucket ORDER BY bucket`,
  )
  return {
    latestReadings: () => latest.all(),
    readingBefore: ({ sensorId, atMs }) => before.get(sensorId, atMs) ?? null,
    series: (query) => series.all(query),
  }
}

function bookQueries(
  db: Database,
): Pick<
  RecordsReader,
  'heardSensors' | 'quarantine' | 'counts' | 'eventsAfter' | 'lastEventId' | 'settingsHistory'
> {
  const heard = db.prepare<[], HeardSensor>(
    `SELECT sensor_id AS sensorId, node_id AS nodeId, quantity, at_ms AS atMs, received_ms AS receivedMs,
       first_received_ms AS firstReceivedMs, value, interval_ms AS intervalMs, readings FROM heard_sensor ORDER BY sensor_id`,
  )
  const quarantine = db.prepare<[number], QuarantineEntry>(
    `SELECT topic, code, reason, sample, count, first_ms AS firstMs, last_ms AS lastMs FROM quarantine
     ORDER BY last_ms DESC, id DESC LIMIT ?`,
  )
  const counter = db.prepare<[string], { value: number }>('SELECT value FROM counter WHERE name = ?')
  const conflicts = db.prepare<[], { n: number }>('SELECT count(*) AS n FROM conflict')
  const readings = db.prepare<[], { n: number | null }>('SELECT sum(readings) AS n FROM heard_sensor')
  const inputs = db.prepare<[], { n: number | null }>('SELECT max(seq) AS n FROM input')
  const events = db.prepare<[number, number], Omit<RecordedEvent, 'body'> & Json>(
    'SELECT id, at_ms AS atMs, kind, json FROM event WHERE id > ? ORDER BY id LIMIT ?',
  )
  const lastEvent = db.prepare<[], { id: number | null }>('SELECT max(id) AS id FROM event')
  const settings = db.prepare<[number], { seq: number } & Json>(
    `SELECT seq, json FROM input WHERE type = 'settings' ORDER BY seq DESC LIMIT ?`,
  )
  return {
    heardSensors: () => heard.all(),
    quarantine: (limit) => quarantine.all(limit),
    counts: () => ({
      readings: readings.get()?.n ?? 0,
      conflicts: conflicts.get()?.n ?? 0,
      quarantined: counter.get('quarantined')?.value ?? 0,
      notJudged: counter.get('notJudged')?.value ?? 0,
      inputs: inputs.get()?.n ?? 0,
    }),
    eventsAfter: ({ afterId, limit }) =>
      events
        .all(afterId, limit)
        .map(({ json, ...rest }) => ({ ...rest, body: JSON.parse(json) as Record<string, unknown> })),
    lastEventId: () => lastEvent.get()?.id ?? 0,
    settingsHistory: (limit) =>
      settings.all(limit).map(({ seq, json }) => ({ ...(JSON.parse(json) as InputOf<'settings'>), seq })),
  }
}

function parsed<T>(row: Json | undefined): T | null {
  return row ? (JSON.parse(row.json) as T) : null
}
