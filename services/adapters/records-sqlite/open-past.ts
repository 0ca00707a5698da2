import BetterSqlite3, { type Database } from 'better-sqlite3'
import type { Alarm } from '../../core/model/alarm.ts'
import type { Input, InputOf, Reading } from '../../core/model/input.ts'
import type { Past } from '../../core/model/ports/past.ts'
import type { Task } from '../../core/model/task.ts'
import { createAlarmChangeQueries } from './alarm-changes.ts'
import { createInputReader } from './input-reader.ts'
import { logEntryQueries } from './log-entries.ts'
import { createMinuteReader } from './minute-reader.ts'
import { READING_COLUMNS, type ReadingRow } from './reading-rows.ts'
import { finite } from './readings.ts'
import { databaseOf } from './take-place.ts'

type Json = { json: string }

const BUSY_MS = 5_000
const MINUTE_MS = 60_000
/** What was planned or proven longer ago than this no longer holds. */
const LOOK_BACK_MS = 92 * 86_400_000

/** The past of a data folder, on a connection that can only read. Whoever opens it closes it. */
export function openPast({ dataDir }: { dataDir: string }): Past & { readonly close: () => void } {
  const path = databaseOf(dataDir)
  const db = new BetterSqlite3(path, { readonly: true, fileMustExist: true, timeout: BUSY_MS })
  return { ...createSqlitePast({ db }), close: () => void db.close() }
}

/** The past that stands in this database. No statement stays open, so the writer's log can always be folded back. */
export function createSqlitePast({ db }: { db: Database }): Past {
  const { alarmChanges, recordBeginsMs } = createAlarmChangeQueries(db)
  const alarm = db.prepare<[string], Json>('SELECT json FROM alarm WHERE id = ?')
  const task = db.prepare<[string], Json>('SELECT json FROM task WHERE id = ?')
  // Each series by itself: its first row is found by key.
  const oldest = db.prepare<[], { atMs: number | null }>(
    'SELECT min((SELECT min(at_ms) FROM reading WHERE series = s.id)) AS atMs FROM series s',
  )
  const { nozzleChecks, headChanges } = logEntryQueries(db)
  return {
    alarmChanges,
    recordBeginsMs,
    readingsBeginMs: () => oldest.get()?.atMs ?? null,
    ...inputQueries(db),
    readingsAfter: createLateQuery(db),
    alarm: (id) => parsed<Alarm>(alarm.get(id)),
    task: (id) => parsed<Task>(task.get(id)),
    checks: nozzleChecks,
    headChanges,
    settingsWithin: createSettingsQuery(db),
  }
}

function inputQueries(db: Database): Pick<Past, 'inForceAt' | 'inputs'> {
  const reader = createInputReader(db)
  const minutes = createMinuteReader(db)
  const firstSeqAt = createSeqSearch(db)
  const orders = db.prepare<[number], { seq: number } & Json>(
    `SELECT seq, json FROM input WHERE seq IN (
       SELECT max(seq) FROM input WHERE order_key IS NOT NULL AND order_key <> 'act' AND seq < ? GROUP BY order_key)
     ORDER BY seq`,
  )
  const standing = db.prepare<[number, number], { seq: number } & Json>(
    `SELECT seq, json FROM input WHERE seq >= ? AND seq < ?
       AND type IN ('quietPlanned', 'quietEnded', 'replyPathProven') ORDER BY seq`,
  )
  return {
    inForceAt: (fromMs) => {
      const seq = firstSeqAt(fromMs)
      const inForce = orders.all(seq).map(toInput)
      const since = standing.all(firstSeqAt(fromMs - LOOK_BACK_MS), seq).map(toInput)
      return [
        ...inForce.filter((i) => i.type === 'settings'),
        ...inForce.filter((i) => i.type !== 'settings'),
        ...since,
      ]
    },
    inputs: function* ({ fromMs, toMs, minutesUntilMs }) {
      const untilMs = Math.min(Math.max(minutesUntilMs, fromMs), toMs)
      const [first, finer, end] = [fromMs, untilMs, toMs].map(firstSeqAt) as [number, number, number]
      const acts = reader.inputs({
        afterSeq: first - 1,
        throughSeq: finer - 1,
        without: ['deadline', 'readings'],
      })
      yield* merged(acts, minutes.inputs({ fromMs, toMs: untilMs }))
      const raw = reader.inputs({ afterSeq: finer - 1, throughSeq: end - 1, without: ['deadline'] })
      yield* untilMs > fromMs ? measuredFrom(raw, minutesUntilMs) : raw
    },
  }
}

/** Of packs, what was measured from then on; all else as it is. */
function* measuredFrom(inputs: Iterable<Input>, fromMs: number): Generator<Input> {
  for (const input of inputs) {
    if (input.type !== 'readings') yield input
    else {
      const readings = input.readings.filter((r) => r.atMs >= fromMs)
      if (readings.length > 0) yield { ...input, readings }
    }
  }
}

/** Two lists in order of arrival as one. What people did comes before what was measured at the same instant. */
function* merged(acts: Generator<Input>, minutes: Generator<Input>): Generator<Input> {
  let act = acts.next()
  let minute = minutes.next()
  while (!act.done || !minute.done) {
    if (!act.done && (minute.done || act.value.receivedMs <= minute.value.receivedMs)) {
      yield act.value
      act = acts.next()
    } else if (!minute.done) {
      yield minute.value
      minute = minutes.next()
    }
  }
}

/** The first input that came in at `atMs` or later: inputs stand in order of arrival, so it is found by halving. */
function createSeqSearch(db: Database): (atMs: number) => number {
  const ends = db.prepare<[], { first: number | null; last: number | null }>(
    'SELECT (SELECT min(seq) FROM input) AS first, (SELECT max(seq) FROM input) AS last',
  )
  const at = db.prepare<[number], { receivedMs: number }>(
    'SELECT received_ms AS receivedMs FROM input WHERE seq >= ? ORDER BY seq LIMIT 1',
  )
  return (atMs) => {
    const { first, last } = ends.get() ?? { first: null, last: null }
    let [low, high] = [first ?? 1, (last ?? 0) + 1]
    while (low < high) {
      const middle = Math.floor((low + high) / 2)
      if ((at.get(middle)?.receivedMs ?? Infinity) >= atMs) high = middle
      else low = middle + 1
    }
    return low
  }
}

function createLateQuery(db: Database): Past['readingsAfter'] {
  const raw = db.prepare<[string, number, number], ReadingRow>(
    `SELECT ${READING_COLUMNS} FROM reading r JOIN series s ON s.id = r.series
     WHERE s.sensor_id IN (SELECT value FROM json_each(?)) AND r.at_ms > ? AND r.seq <= ?`,
  )
  const minutes = db.prepare<[string, number, number, number], ReadingRow>(
    `SELECT s.sensor_id AS sensorId, s.quantity AS quantity, r.last_ms AS atMs, r.last AS value
     FROM series s JOIN rollup r ON r.width_ms = ${MINUTE_MS} AND r.series = s.id
     WHERE s.sensor_id IN (SELECT value FROM json_each(?)) AND r.at_ms >= ? AND r.last_ms > ? AND r.last_ms <= ?`,
  )
  return ({ sensorIds, afterMs, throughSeq, throughMs, minutesUntilMs }) => {
    const ids = JSON.stringify(sensorIds)
    const after = finite(afterMs)
    const lastMinuteMs = Math.min(finite(throughMs), finite(minutesUntilMs) - 1)
    const coarse = after < lastMinuteMs ? minutes.all(ids, after - MINUTE_MS, after, lastMinuteMs) : []
    return [...coarse, ...raw.all(ids, Math.max(after, finite(minutesUntilMs) - 1), throughSeq)].sort(
      byTimeThenSensor,
    )
  }
}

function byTimeThenSensor(a: Reading, b: Reading): number {
  return a.atMs - b.atMs || textOrder(a.sensorId, b.sensorId) || textOrder(a.quantity, b.quantity)
}

function textOrder(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0
}

function createSettingsQuery(db: Database): Past['settingsWithin'] {
  const within = db.prepare<{ fromMs: number; toMs: number }, { seq: number } & Json>(
    `SELECT seq, json FROM input WHERE order_key = 'settings' AND at_ms < @toMs AND at_ms >=
       coalesce((SELECT max(at_ms) FROM input WHERE order_key = 'settings' AND at_ms <= @fromMs), @fromMs)
     ORDER BY seq`,
  )
  return ({ fromMs, toMs }) => within.all({ fromMs, toMs }).map((row) => toInput(row) as InputOf<'settings'>)
}

function toInput({ seq, json }: { seq: number } & Json): Input {
  return { ...(JSON.parse(json) as Input), seq }
}

function parsed<T>(row: Json | undefined): T | null {
  return row ? (JSON.parse(row.json) as T) : null
}
