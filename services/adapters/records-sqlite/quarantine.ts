import type { Database } from 'better-sqlite3'
import type { BookOfRecord } from '../../core/model/ports/records.ts'
import type { Counters } from './counters.ts'

const SAMPLES_A_TOPIC = 100
const SAMPLES_IN_ALL = 10_000

/**
 * Counts what could not be used. The same trouble again only counts; a new sample is kept while there is room, and
 * beyond that it counts with the newest of its topic, of its own code if there is one, or in a counter when its
 * topic has none. What a flood costs does not grow with what is kept: no query here reads more than one topic.
 */
export function createQuarantine(db: Database, counters: Counters): Pick<BookOfRecord, 'keepRejection'> {
  const again = db.prepare<[number, string, string, string, string]>(
    'UPDATE quarantine SET count = count + 1, last_ms = ? WHERE topic = ? AND code = ? AND reason = ? AND sample = ?',
  )
  const ofTopic = db.prepare<[string], { n: number }>('SELECT count(*) AS n FROM quarantine WHERE topic = ?')
  const insert = db.prepare<[string, string, string, string, number, number]>(
    'INSERT INTO quarantine (topic, code, reason, sample, count, first_ms, last_ms) VALUES (?, ?, ?, ?, 1, ?, ?)',
  )
  const newest = db.prepare<[number, string, string]>(
    `UPDATE quarantine SET count = count + 1, last_ms = ?
     WHERE id = (SELECT id FROM quarantine WHERE topic = ? ORDER BY code = ? DESC, id DESC LIMIT 1)`,
  )
  const hasRoom = (topic: string): boolean =>
    (counters.get('quarantineSamples') ?? 0) < SAMPLES_IN_ALL &&
    (ofTopic.get(topic)?.n ?? 0) < SAMPLES_A_TOPIC
  return {
    keepRejection: ({ topic, code, reason, sample }, receivedMs) => {
      counters.add('quarantined', 1)
      if (again.run(receivedMs, topic, code, reason, sample).changes > 0) return
      if (hasRoom(topic)) {
        insert.run(topic, code, reason, sample, receivedMs, receivedMs)
        counters.add('quarantineSamples', 1)
      } else if (newest.run(receivedMs, topic, code).changes === 0)
        counters.add('quarantinedWithoutSample', 1)
    },
  }
}
