import { afterEach, describe, expect, it } from 'vitest'
import { createSqliteBookOfRecord } from '../../services/adapters/records-sqlite/create-book-of-record.ts'
import { createSqliteRecordsReader } from '../../services/adapters/records-sqlite/create-records-reader.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'
import { spawnRecordsChild, type RecordsChild } from '../parts/spawn-records-child.ts'
import { waitFor } from '../parts/wait-for.ts'

const folders = createTemporaryFolders()
afterEach(folders.removeAll)

/** Commits after which the writer is killed, in the midst of what comes next. */
const KILL_AFTER_COMMITS = [1, 40, 150]

const commits = (child: RecordsChild): number => child.lines().length - 1

describe('a book of record whose process is killed', () => {
  it('BR-1 holds every commit that returned, whole, and passes the integrity check', async () => {
    const dataDir = folders.make()
    for (const after of KILL_AFTER_COMMITS) {
      const child = await spawnRecordsChild('write', dataDir)
      await waitFor(`${after} commits`, () => (commits(child) >= after ? true : null))
      await child.kill()
      const printed = Number(child.lines().at(-1))
      expect(printed).toBeGreaterThanOrEqual(after)

      const db = openDatabase({ dataDir })
      const book = createSqliteBookOfRecord({ db })
      expect(db.pragma('integrity_check', { simple: true })).toBe('ok')
      expect(db.pragma('foreign_key_check')).toEqual([])
      const last = book.lastSeq()
      // One commit may have been finished and not been told of.
      expect([printed, printed + 5]).toContain(last)
      const inputs = [...book.inputsAfter(0)]
      expect(inputs.map((i) => i.seq)).toEqual(Array.from({ length: last }, (_, i) => i + 1))
      expect(inputs.every((i) => i.type === 'readings' && i.readings.length === 2)).toBe(true)
      expect(createSqliteRecordsReader({ db }).counts().readings).toBe(2 * last)
      expect(book.history.snapshotBefore({ subjectKey: 'room:floor', beforeMs: Infinity })?.stateJson).toBe(
        String(last),
      )
      book.close()
    }
  }, 60_000)
})
