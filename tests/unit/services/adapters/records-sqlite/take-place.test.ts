import BetterSqlite3 from 'better-sqlite3'
import { cpSync, existsSync, linkSync, readdirSync, renameSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, describe, expect, it } from 'vitest'
import {
  DATABASE_FILE,
  databaseOf,
  finishTakingPlace,
  takePlace,
  type FolderChanges,
} from '../../../../../services/adapters/records-sqlite/take-place.ts'
import { createTemporaryFolders } from '../../../../parts/temporary-folder.ts'

const folders = createTemporaryFolders()
const opened: BetterSqlite3.Database[] = []
afterEach(() => {
  opened.splice(0).forEach((db) => db.close())
  folders.removeAll()
})

/** Does the first `most` changes, and is cut off before the next. */
function cutOffAfter(most: number): FolderChanges {
  let done = 0
  const once = (change: () => void): void => {
    if (done++ === most) throw new Error('cut off')
    change()
  }
  return {
    link: (path, name) => once(() => linkSync(path, name)),
    rename: (path, name) => once(() => renameSync(path, name)),
    remove: (path) => once(() => rmSync(path, { force: true })),
  }
}

const rowsOf = (path: string): unknown => {
  const db = new BetterSqlite3(path, { readonly: true, fileMustExist: true })
  try {
    return db.prepare('SELECT v FROM t ORDER BY v').pluck().all()
  } finally {
    db.close()
  }
}

/** A folder with an old database, the last row of which stands in its log alone, and a new one beside it. */
function folderOfTwo(): { dataDir: string; path: string; fresh: string } {
  const dataDir = folders.make()
  const path = join(dataDir, DATABASE_FILE)
  const old = new BetterSqlite3(path)
  opened.push(old)
  old.pragma('journal_mode = WAL')
  old.exec("CREATE TABLE t (v); INSERT INTO t VALUES ('old 1')")
  old.pragma('wal_checkpoint(TRUNCATE)')
  old.exec("INSERT INTO t VALUES ('old 2')")
  const fresh = `${path}.restoring`
  const db = new BetterSqlite3(fresh)
  db.exec("CREATE TABLE t (v); INSERT INTO t VALUES ('new')")
  db.close()
  return { dataDir, path, fresh }
}

describe('a database that takes the place of another', () => {
  it('PLACE-1, PLACE-2 cut off before any change it leaves the old one with its log, or the new one, and never a mixture', () => {
    const seen: string[] = []
    for (let most = 0, isCut = true; isCut; most++) {
      const { dataDir, path, fresh } = folderOfTwo()
      const wanted = `${path}.before`
      try {
        takePlace({ fresh, path, wanted, changes: cutOffAfter(most) })
        isCut = false
      } catch (error) {
        expect(String(error)).toContain('cut off')
      }
      // What the disk holds at this moment, without the process that had it open.
      const left = folders.make()
      cpSync(dataDir, left, { recursive: true })
      const found = rowsOf(databaseOf(left))
      finishTakingPlace(join(left, DATABASE_FILE))
      expect(rowsOf(join(left, DATABASE_FILE))).toEqual(found)
      expect(databaseOf(left)).toBe(join(left, DATABASE_FILE))
      const isNew = JSON.stringify(found) === JSON.stringify(['new'])
      if (!isNew) expect(found).toEqual(['old 1', 'old 2'])
      else expect(rowsOf(join(left, `${DATABASE_FILE}.before`))).toEqual(['old 1', 'old 2'])
      seen.push(isNew ? 'new' : 'old')
    }
    expect(seen.join(' ')).toMatch(/^(old ){3}(new ?){4,}$/)
  })

  it('PLACE-1 a name that is taken, by a log alone too, gets a number; where nothing was, nothing stands aside', () => {
    const { dataDir, path, fresh } = folderOfTwo()
    cpSync(fresh, `${path}.before-wal`)
    expect(takePlace({ fresh, path, wanted: `${path}.before` })).toBe(`${path}.before-2`)
    expect(rowsOf(`${path}.before-2`)).toEqual(['old 1', 'old 2'])
    const empty = folders.make()
    cpSync(path, join(empty, 'copy'))
    const alone = join(empty, DATABASE_FILE)
    expect(takePlace({ fresh: join(empty, 'copy'), path: alone, wanted: `${alone}.before` })).toBeNull()
    expect([readdirSync(empty), existsSync(join(dataDir, `${DATABASE_FILE}.next`))]).toEqual([
      [DATABASE_FILE],
      false,
    ])
  })
})
