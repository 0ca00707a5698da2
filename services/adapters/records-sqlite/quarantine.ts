import type { Database } from 'better-sqlite3'
import type { Rejection } from '../../core/model/rejection.ts'

const SAMPLES_A_TOPIC = 100
const SAMPLES_IN_ALL = 10_000

/**
 * Counts what could not be used. The same trouble again only counts; a new sample is kept while there is room, and
 * beyond that it counts with the newest of its kind, or in a counter when its topic has none.
 */
export function createQuarantine(db: Database): (rejection: Rejection, receivedMs: number) => void {
  const again = db.prepare<[number, string, string, string, string]>(
    'UPDATE quarantine SET count = count + 1, last_ms = ? WHERE topic = ? AND code = ? AND reason = ? AND sample = ?',
  )
  const room = db.prepare<[string], { ofTopic: number; inAll: number }>(
    'SELECT (SELECT count(*) FROM quarantine WHERE topic = ?) AS ofTopic, (SELECT count(*) FROM quarantine) AS inAll',
  )
  const insert = db.prepare<[string, string, string, string, number, number]>(
    'INSERT INTO quarantine (topic, code, reason, sample, count, first_ms, last_ms) VALUES (?, ?, ?, ?, 1, ?, ?)',
  )
  const newest = db.prepare<[number, string]>(
    'UPDATE quarantine SET count = count + 1, last_ms = ? WHERE id = (SELECT max(id) FROM quarantine WHERE topic = ?)',
  )
  const count = db.prepare<[string]>(
    'INSERT INTO counter (name, value) VALUES (?, 1) ON CONFLICT (name) DO UPDATE SET value = value + 1',
  )
  return ({ topic, code, reason, sample }, receivedMs) => {
    count.run('quarantined')
    if (again.run(receivedMs, topic, code, reason, sample).changes > 0) return
    const { ofTopic = 0, inAll = 0 } = room.get(topic) ?? {}
    if (ofTopic < SAMPLES_A_TOPIC && inAll < SAMPLES_IN_ALL)
      insert.run(topic, code, reason, sample, receivedMs, receivedMs)
    else if (newest.run(receivedMs, topic).changes === 0) count.run('quarantinedWithoutSample')
  }
}
