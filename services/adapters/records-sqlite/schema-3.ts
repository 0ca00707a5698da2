/** Who was told what. */
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
`
