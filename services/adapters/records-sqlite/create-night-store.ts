import type { Database } from 'better-sqlite3'
import type { StoredNight } from '../../core/model/night-exposure.ts'
import type {
  KeptVerdict,
  NightRenewal,
  NightStore,
  TouchedHour,
} from '../../core/model/ports/night-store.ts'
import { createCounters } from './counters.ts'

const HOUR_MS = 3_600_000
const REVISION = 'nightsRevision'

/** SQLite has no truth values. */
type NightRow = Omit<StoredNight, 'actedUpon'> & { readonly actedUpon: number }

const COLUMNS = {
  modelVersion: 'model_version',
  machineId: 'machine_id',
  channelGroupId: 'channel_group_id',
  nightOf: 'night_of',
  headId: 'head_id',
  fromMs: 'from_ms',
  toMs: 'to_ms',
  doseKpaH: 'dose_kpa_h',
  minHumidityPct: 'min_humidity_pct',
  hoursBelowPct: 'hours_below_pct',
  darkHours: 'dark_hours',
  uncappedHours: 'uncapped_hours',
  cleaningsSeen: 'cleanings_seen',
  minTemperatureC: 'min_temperature_c',
  actedUpon: 'acted_upon',
} as const satisfies Record<keyof StoredNight, string>

const FIELDS = Object.entries(COLUMNS)
  .map(([field, column]) => `${column} AS ${field}`)
  .join(', ')

function nightOf(row: NightRow): StoredNight {
  return { ...row, actedUpon: row.actedUpon === 1 }
}

/** Nights and frozen verdicts beside the book of record. Reads alone work on a connection that may only read. */
export function createSqliteNightStore({ db }: { db: Database }): NightStore {
  const counters = createCounters(db)
  const select = db.prepare<[string], NightRow>(
    `SELECT ${FIELDS} FROM night_exposure WHERE model_version = ?
     ORDER BY machine_id, channel_group_id, night_of`,
  )
  const logged = db.prepare<[], { entry: number | null }>(
    `SELECT max(entry) AS entry FROM log_entry WHERE kind IN ('nozzleCheck', 'headChange')`,
  )
  return {
    throughSeq: (modelVersion) => counters.get(throughName(modelVersion)) ?? 0,
    revision: () => counters.get(REVISION) ?? 0,
    logRevision: () => logged.get()?.entry ?? 0,
    nights: (modelVersion) => select.all(modelVersion).map(nightOf),
    renewedMs: () => counters.get('nightsRenewedMs'),
    touchedAfter: createTouched(db),
    renew: createRenew(db),
    ...verdictQueries(db),
  }
}

function throughName(modelVersion: string): `nightsThrough|${string}` {
  return `nightsThrough|${modelVersion}`
}

function createRenew(db: Database): NightStore['renew'] {
  const counters = createCounters(db)
  const names = Object.entries(COLUMNS)
  const drop = db.prepare<[string, string, string]>(
    'DELETE FROM night_exposure WHERE model_version = ? AND machine_id = ? AND night_of = ?',
  )
  const insert = db.prepare<NightRow & { throughSeq: number }>(
    `INSERT INTO night_exposure (${names.map(([, column]) => column).join(', ')}, through_seq)
     VALUES (${names.map(([field]) => `@${field}`).join(', ')}, @throughSeq)`,
  )
  const ofNight = db.prepare<[string, string, string], NightRow>(
    `SELECT ${FIELDS} FROM night_exposure WHERE model_version = ? AND machine_id = ? AND night_of = ?`,
  )
  const write = db.transaction(({ modelVersion, throughSeq, nowMs, replaced, nights }: NightRenewal) => {
    const before = new Set<string>()
    for (const { machineId, nightOf: date } of replaced) {
      for (const row of ofNight.all(modelVersion, machineId, date)) before.add(JSON.stringify(nightOf(row)))
      drop.run(modelVersion, machineId, date)
    }
    let isChanged = before.size !== nights.length
    for (const night of nights) {
      const row = { ...night, modelVersion, actedUpon: Number(night.actedUpon) }
      insert.run({ ...row, throughSeq })
      isChanged ||= !before.has(JSON.stringify(inOrder(row)))
    }
    counters.set(throughName(modelVersion), throughSeq)
    counters.set('nightsRenewedMs', nowMs)
    if (isChanged) counters.add(REVISION, 1)
  })
  return (renewal) => write.immediate(renewal)
}

/** With its fields in the order in which rows are read. */
function inOrder(row: NightRow): StoredNight {
  const fields = Object.keys(COLUMNS) as (keyof NightRow)[]
  return nightOf(Object.fromEntries(fields.map((f) => [f, row[f]])) as unknown as NightRow)
}

function createTouched(db: Database): NightStore['touchedAfter'] {
  // Whole hours before 1970 do not matter: no shop was watched then.
  const quarters = db.prepare<[number], TouchedHour>(
    `SELECT DISTINCT 'machine' AS kind, machine_id AS id, (end_ms - 1) / ${HOUR_MS} AS hour
     FROM machine_quarter WHERE noted_seq > ?`,
  )
  const readings = db.prepare<[number], TouchedHour>(
    `SELECT DISTINCT 'sensor' AS kind, s.sensor_id AS id, r.hour FROM (
       SELECT DISTINCT series, at_ms / ${HOUR_MS} AS hour FROM reading WHERE seq > ?
     ) r JOIN series s ON s.id = r.series`,
  )
  return (seq) => [...quarters.all(seq), ...readings.all(seq)]
}

function verdictQueries(db: Database): Pick<NightStore, 'freeze' | 'frozen'> {
  const counters = createCounters(db)
  const known = db.prepare<[string], { n: number }>(
    'SELECT count(*) AS n FROM frozen_verdict WHERE month = ?',
  )
  const insert = db.prepare<[string, string, number, string]>(
    'INSERT INTO frozen_verdict (month, exposure, frozen_ms, json) VALUES (?, ?, ?, ?)',
  )
  const all = db.prepare<[], { json: string }>(
    'SELECT json FROM frozen_verdict ORDER BY month DESC, exposure',
  )
  const freeze = db.transaction((verdicts: readonly KeptVerdict[]): boolean => {
    const fresh = verdicts.filter(({ month }) => known.get(month)?.n === 0)
    for (const v of fresh) insert.run(v.month, v.verdict.exposure, v.frozenMs, JSON.stringify(v))
    if (fresh.length > 0) counters.add(REVISION, 1)
    return fresh.length > 0
  })
  return {
    freeze: (verdicts) => freeze.immediate(verdicts),
    frozen: () => all.all().map(({ json }) => JSON.parse(json) as KeptVerdict),
  }
}
