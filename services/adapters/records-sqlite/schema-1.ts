/** Times are ms since 1970, UTC. Texts named `json` hold what the model's schemas describe. */
export const SCHEMA_1 = `
CREATE TABLE series (
  id INTEGER PRIMARY KEY,
  sensor_id TEXT NOT NULL,
  quantity TEXT NOT NULL,
  UNIQUE (sensor_id, quantity)
);

CREATE TABLE input (
  seq INTEGER PRIMARY KEY,
  type TEXT NOT NULL,
  at_ms INTEGER NOT NULL,
  received_ms INTEGER NOT NULL,
  json TEXT NOT NULL
);
CREATE INDEX input_settings ON input (at_ms) WHERE type = 'settings';

CREATE TABLE reading (
  series INTEGER NOT NULL REFERENCES series,
  at_ms INTEGER NOT NULL,
  value REAL NOT NULL,
  seq INTEGER NOT NULL,
  PRIMARY KEY (series, at_ms)
) WITHOUT ROWID;
CREATE INDEX reading_seq ON reading (seq);

CREATE TABLE conflict (
  series INTEGER NOT NULL REFERENCES series,
  at_ms INTEGER NOT NULL,
  value REAL NOT NULL,
  received_ms INTEGER NOT NULL,
  PRIMARY KEY (series, at_ms, value)
) WITHOUT ROWID;

CREATE TABLE subject_snapshot (
  subject_key TEXT NOT NULL,
  through_ms INTEGER NOT NULL,
  json TEXT NOT NULL,
  PRIMARY KEY (subject_key, through_ms)
) WITHOUT ROWID;
CREATE INDEX subject_snapshot_age ON subject_snapshot (through_ms);

CREATE TABLE kernel_snapshot (
  one INTEGER PRIMARY KEY CHECK (one = 1),
  seq INTEGER NOT NULL,
  kernel_version TEXT NOT NULL,
  json TEXT NOT NULL
);

CREATE TABLE episode (
  id TEXT PRIMARY KEY,
  subject_key TEXT NOT NULL,
  from_ms INTEGER NOT NULL,
  to_ms INTEGER,
  closed_ms INTEGER,
  withdrawn INTEGER NOT NULL DEFAULT 0,
  json TEXT NOT NULL
);
CREATE INDEX episode_subject ON episode (subject_key, closed_ms);
CREATE INDEX episode_time ON episode (from_ms);

CREATE TABLE alarm (
  id TEXT PRIMARY KEY,
  state TEXT NOT NULL,
  opened_ms INTEGER NOT NULL,
  json TEXT NOT NULL
);
CREATE INDEX alarm_open ON alarm (opened_ms) WHERE state <> 'normal';

CREATE TABLE task (
  id TEXT PRIMARY KEY,
  state TEXT NOT NULL,
  opened_ms INTEGER NOT NULL,
  changed_ms INTEGER NOT NULL,
  json TEXT NOT NULL
);
CREATE INDEX task_state ON task (state, changed_ms);

CREATE TABLE message_outbox (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  idempotency_key TEXT NOT NULL UNIQUE,
  channel TEXT NOT NULL,
  replace_key TEXT NOT NULL,
  json TEXT NOT NULL,
  queued_ms INTEGER NOT NULL,
  attempts INTEGER NOT NULL DEFAULT 0,
  last_attempt_ms INTEGER,
  delivered_ms INTEGER,
  replaced INTEGER NOT NULL DEFAULT 0
);
CREATE INDEX message_pending ON message_outbox (id) WHERE delivered_ms IS NULL AND replaced = 0;

CREATE TABLE event (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  at_ms INTEGER NOT NULL,
  kind TEXT NOT NULL,
  json TEXT NOT NULL
);

CREATE TABLE quarantine (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  topic TEXT NOT NULL,
  code TEXT NOT NULL,
  reason TEXT NOT NULL,
  sample TEXT NOT NULL,
  count INTEGER NOT NULL,
  first_ms INTEGER NOT NULL,
  last_ms INTEGER NOT NULL,
  UNIQUE (topic, code, reason, sample)
);

CREATE TABLE heard_sensor (
  sensor_id TEXT PRIMARY KEY,
  node_id TEXT NOT NULL,
  quantity TEXT NOT NULL,
  at_ms INTEGER NOT NULL,
  received_ms INTEGER NOT NULL,
  first_received_ms INTEGER NOT NULL,
  value REAL NOT NULL,
  interval_ms INTEGER,
  readings INTEGER NOT NULL
);

CREATE TABLE counter (name TEXT PRIMARY KEY, value INTEGER NOT NULL);

CREATE TABLE person (
  id TEXT PRIMARY KEY,
  name TEXT NOT NULL,
  name_key TEXT,
  role TEXT NOT NULL,
  password_hash TEXT,
  created_ms INTEGER NOT NULL,
  removed_ms INTEGER
);
CREATE UNIQUE INDEX person_name ON person (name_key);

CREATE TABLE session (
  token_hash TEXT PRIMARY KEY,
  person_id TEXT NOT NULL REFERENCES person,
  created_ms INTEGER NOT NULL,
  last_seen_ms INTEGER NOT NULL,
  expires_ms INTEGER NOT NULL
);

CREATE TABLE sign_in_code (
  code_hash TEXT PRIMARY KEY,
  purpose TEXT NOT NULL,
  person_id TEXT,
  expires_ms INTEGER NOT NULL
);

CREATE TABLE credential (
  kind TEXT NOT NULL,
  id TEXT NOT NULL,
  title TEXT NOT NULL,
  secret_hash TEXT NOT NULL,
  created_ms INTEGER NOT NULL,
  revoked_ms INTEGER,
  PRIMARY KEY (kind, id)
);
CREATE INDEX credential_hash ON credential (kind, secret_hash);
`
