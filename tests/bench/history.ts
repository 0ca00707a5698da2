import { statSync } from 'node:fs'
import { join } from 'node:path'
import { createSqliteBookOfRecord } from '../../services/adapters/records-sqlite/create-book-of-record.ts'
import { createSqliteRecordsReader } from '../../services/adapters/records-sqlite/create-records-reader.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import { DATABASE_FILE } from '../../services/adapters/records-sqlite/take-place.ts'
import { bucketWidthMs } from '../../services/web/routes/series.ts'
import { hasProgram } from '../parts/host.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'
import { influxHistoryBench } from './history-influx.ts'
import { EVERY_MS, POINTS, timesMs, YEAR_MS, yearOf } from './year-of-readings.ts'

const PACK = 500

/** A year of one series in readings of ten seconds: what it costs to keep, and to show in as many points as a chart has. */
export async function historyBench() {
  const folders = createTemporaryFolders()
  const dataDir = folders.make()
  const db = openDatabase({ dataDir })
  const book = createSqliteBookOfRecord({ db })
  const reader = createSqliteRecordsReader({ db })
  const count = YEAR_MS / EVERY_MS
  const startedMs = performance.now()
  for (let from = 0; from < count; from += 200 * PACK) {
    book.transaction(() => {
      for (let at = from; at < Math.min(count, from + 200 * PACK); at += PACK) {
        const stamp = { atMs: at * EVERY_MS, receivedMs: at * EVERY_MS }
        const readings = yearOf(at, Math.min(PACK, count - at))
        book.appendInput({ type: 'readings', ...stamp, seq: book.lastSeq() + 1, nodeId: 'room', readings })
      }
    })
  }
  const writtenPerS = count / ((performance.now() - startedMs) / 1000)
  db.pragma('wal_checkpoint(TRUNCATE)')
  const bytes = statSync(join(dataDir, DATABASE_FILE)).size / count
  const bucketMs = bucketWidthMs(YEAR_MS, POINTS)
  const query = { sensorId: 'room/humidity', fromMs: 0, toMs: YEAR_MS, bucketMs }
  const ourMs = timesMs(9, () => reader.series(query))
  const scan = db.prepare(
    'SELECT at_ms / ? AS bucket, min(value), avg(value), max(value) FROM reading GROUP BY bucket',
  )
  const scanMs = timesMs(3, () => scan.all(bucketMs))
  const points = reader.series(query).length
  console.log(
    `history: ${count} readings written at ${Math.round(writtenPerS)}/s, ${bytes.toFixed(1)} bytes a reading on disk; a year in ${points} points: ${ourMs.toFixed(1)} ms, scanning the raw rows ${scanMs.toFixed(0)} ms`,
  )
  db.close()
  folders.removeAll()
  return [
    {
      what: `a year of one series to ${points} points, charts/s, against scanning the raw rows`,
      ours: 1000 / ourMs,
      anchor: 1000 / scanMs,
      unit: '/s',
      aim: 50,
    },
    ...(hasProgram('influxd') ? await influxHistoryBench(ourMs) : []),
  ]
}
