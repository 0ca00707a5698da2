/** Who was told what; what waste left the shop; the logbook. */
export const SCHEMA_3 = `
CREATE TABLE notice (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  key TEXT NOT NULL UNIQUE,
  contact_id TEXT NOT NULL,
  topic TEXT NOT NULL,
  alarm_id TEXT,
  queued_ms INTEGER NOT NULL,
  replaced INTEGER NOT NULL DEFAULT 0,
  outcome TEXT,
  settled_ms INTEGER,
  json TEXT NOT NULL
);
CREATE INDEX notice_pending ON notice (id) WHERE settled_ms IS NULL AND replaced = 0;
CREATE INDEX notice_topic ON notice (contact_id, topic) WHERE settled_ms IS NULL;

CREATE TABLE sent_once (
  caller_id TEXT NOT NULL,
  key TEXT NOT NULL,
  asked_hash TEXT NOT NULL,
  begun_ms INTEGER NOT NULL,
  status INTEGER,
  content_type TEXT NOT NULL DEFAULT '',
  body TEXT NOT NULL DEFAULT '',
  PRIMARY KEY (caller_id, key)
) WITHOUT ROWID;
CREATE INDEX sent_once_begun ON sent_once (begun_ms);

CREATE TABLE machine_quarter (
  machine_id TEXT NOT NULL,
  end_ms INTEGER NOT NULL,
  json TEXT NOT NULL,
  noted_seq INTEGER NOT NULL DEFAULT 0,
  PRIMARY KEY (machine_id, end_ms)
) WITHOUT ROWID;
CREATE INDEX machine_quarter_noted ON machine_quarter (noted_seq);

CREATE TABLE device (
  id TEXT PRIMARY KEY,
  person_id TEXT NOT NULL,
  title TEXT NOT NULL,
  endpoint TEXT NOT NULL UNIQUE,
  p256dh TEXT NOT NULL,
  auth TEXT NOT NULL,
  created_ms INTEGER NOT NULL,
  last_ok_ms INTEGER
);
CREATE TABLE delivery (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  notice_key TEXT NOT NULL,
  contact_id TEXT NOT NULL,
  channel TEXT NOT NULL,
  target_id TEXT NOT NULL,
  state TEXT NOT NULL DEFAULT 'waiting',
  attempts INTEGER NOT NULL DEFAULT 0,
  next_ms INTEGER NOT NULL,
  summary_key TEXT,
  UNIQUE (notice_key, channel, target_id)
);
CREATE INDEX delivery_waiting ON delivery (id) WHERE state = 'waiting';
CREATE TABLE delivery_attempt (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  at_ms INTEGER NOT NULL,
  notice_key TEXT NOT NULL,
  contact_id TEXT NOT NULL,
  channel TEXT NOT NULL,
  target TEXT NOT NULL,
  outcome TEXT NOT NULL,
  reason TEXT NOT NULL
);
CREATE TABLE reply_link (
  token_hash TEXT PRIMARY KEY,
  contact_id TEXT NOT NULL,
  alarm_id TEXT,
  notice_key TEXT NOT NULL,
  expires_ms INTEGER NOT NULL
) WITHOUT ROWID;
CREATE TABLE sealed_secret (name TEXT PRIMARY KEY, sealed TEXT NOT NULL) WITHOUT ROWID;

CREATE TABLE alarm_change (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  at_ms INTEGER NOT NULL,
  alarm_id TEXT NOT NULL,
  json TEXT NOT NULL
);
CREATE INDEX alarm_change_time ON alarm_change (at_ms);

CREATE TABLE rollup (
  width_ms INTEGER NOT NULL,
  series INTEGER NOT NULL REFERENCES series,
  at_ms INTEGER NOT NULL,
  n INTEGER NOT NULL,
  low REAL NOT NULL,
  sum REAL NOT NULL,
  high REAL NOT NULL,
  last_ms INTEGER NOT NULL,
  last REAL NOT NULL,
  PRIMARY KEY (width_ms, series, at_ms)
) WITHOUT ROWID;
${[60_000, 3_600_000, 86_400_000].map(rollUpWhatIsHeld).join('\n')}

CREATE TABLE disposal (
  entry INTEGER PRIMARY KEY AUTOINCREMENT,
  disposal_id TEXT NOT NULL,
  disposed_ms INTEGER NOT NULL,
  logged_ms INTEGER NOT NULL,
  json TEXT NOT NULL
);
CREATE INDEX disposal_of ON disposal (disposal_id, entry);

CREATE TABLE log_entry (
  entry INTEGER PRIMARY KEY AUTOINCREMENT,
  kind TEXT NOT NULL,
  id TEXT NOT NULL,
  machine_id TEXT,
  at_ms INTEGER NOT NULL,
  logged_ms INTEGER NOT NULL,
  void INTEGER NOT NULL,
  json TEXT NOT NULL
);
CREATE INDEX log_entry_of ON log_entry (kind, id, entry);
CREATE INDEX log_entry_time ON log_entry (kind, at_ms);

CREATE TABLE night_exposure (
  model_version TEXT NOT NULL,
  machine_id TEXT NOT NULL,
  channel_group_id TEXT NOT NULL,
  night_of TEXT NOT NULL,
  head_id TEXT NOT NULL,
  from_ms INTEGER NOT NULL,
  to_ms INTEGER NOT NULL,
  dose_kpa_h REAL,
  min_humidity_pct REAL,
  hours_below_pct REAL,
  dark_hours REAL,
  uncapped_hours REAL,
  cleanings_seen INTEGER,
  min_temperature_c REAL,
  acted_upon INTEGER NOT NULL,
  through_seq INTEGER NOT NULL,
  PRIMARY KEY (model_version, machine_id, channel_group_id, night_of)
) WITHOUT ROWID;
CREATE TABLE frozen_verdict (
  month TEXT NOT NULL,
  exposure TEXT NOT NULL,
  frozen_ms INTEGER NOT NULL,
  json TEXT NOT NULL,
  PRIMARY KEY (month, exposure)
) WITHOUT ROWID;

CREATE TABLE machine_stretch (
  width_ms INTEGER NOT NULL,
  machine_id TEXT NOT NULL,
  start_ms INTEGER NOT NULL,
  json TEXT NOT NULL,
  PRIMARY KEY (width_ms, machine_id, start_ms)
) WITHOUT ROWID;
CREATE INDEX task_closed ON task (json ->> '$.closedMs');

CREATE TABLE import_mark (file_hash TEXT PRIMARY KEY, json TEXT NOT NULL) WITHOUT ROWID;
`

/** Readings of earlier releases. */
function rollUpWhatIsHeld(widthMs: number): string {
  const start = `at_ms - ((at_ms % ${widthMs}) + ${widthMs}) % ${widthMs}`
  return `INSERT INTO rollup (width_ms, series, at_ms, n, low, sum, high, last_ms, last)
SELECT ${widthMs}, b.series, b.start, b.n, b.low, b.sum, b.high, b.last_ms, r.value FROM (
  SELECT series, ${start} AS start, count(*) AS n, min(value) AS low, sum(value) AS sum, max(value) AS high,
    max(at_ms) AS last_ms FROM reading GROUP BY series, start
) b JOIN reading r ON r.series = b.series AND r.at_ms = b.last_ms;`
}
