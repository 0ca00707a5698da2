import { existsSync, readdirSync, utimesSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { backUpRecords } from '../../../../../services/adapters/records-sqlite/back-up.ts'
import { openDatabase } from '../../../../../services/adapters/records-sqlite/open-database.ts'
import { createTemporaryFolders } from '../../../../parts/temporary-folder.ts'

const folders = createTemporaryFolders()
afterAll(folders.removeAll)

/** As a disk in FAT or exFAT answers. */
const noLinks = (): never => {
  throw Object.assign(new Error('EPERM: operation not permitted, link'), { code: 'EPERM' })
}

describe('a backup on a disk that knows no second names', () => {
  it('BACKUP-1, BACKUP-3 appears under its name and leaves nothing else; a name that is taken stays as it is', async () => {
    const [dataDir, stick] = [join(folders.make(), 'data'), folders.make()]
    openDatabase({ dataDir }).close()
    const file = join(stick, 'copy.sqlite')
    const given = { dataDir, file, onProgress: () => undefined, link: noLinks }
    expect((await backUpRecords(given)).bytes).toBeGreaterThan(0)
    expect(readdirSync(stick)).toEqual(['copy.sqlite'])
    const meanwhile = (): never => {
      writeFileSync(join(stick, 'other.sqlite'), 'somebody else was first')
      return noLinks()
    }
    await expect(
      backUpRecords({ ...given, file: join(stick, 'other.sqlite'), link: meanwhile }),
    ).rejects.toMatchObject({ code: 'RECORDS_TAKEN' })
    expect(existsSync(join(stick, 'other.sqlite'))).toBe(true)
    expect(readdirSync(stick).sort()).toEqual(['copy.sqlite', 'other.sqlite'])
  })
})

describe('backups that were killed', () => {
  /** No process has such a number: they end at 4,194,304. */
  const GONE = 99_999_999
  const OURS = 'nightcap-2027-01-12T11-30-00Z.sqlite'

  it('BACKUP-5 their halves go with the next backup; what may be in the making, and what is not ours, stays', async () => {
    const [dataDir, folder] = [join(folders.make(), 'data'), folders.make()]
    openDatabase({ dataDir }).close()
    const leave = (name: string, ageMs: number) => {
      writeFileSync(join(folder, name), 'half')
      const then = new Date(Date.now() - ageMs)
      utimesSync(join(folder, name), then, then)
    }
    const old = 2 * 3_600_000
    for (const name of [OURS, 'copy.sqlite']) {
      leave(`${name}.partial-${GONE}`, old)
      leave(`${name}.partial-${GONE}-journal`, old)
      leave(`${name}.partial-${process.pid}`, old)
    }
    const staying = [
      `${OURS}.partial-${process.ppid}`,
      `other.sqlite.partial-${GONE}`,
      `${OURS}.partial-${GONE}.txt`,
      'notes.txt',
    ]
    for (const name of staying) leave(name, old)
    leave(`${OURS}.partial-${GONE - 1}`, 60_000)
    await backUpRecords({ dataDir, file: join(folder, 'copy.sqlite'), onProgress: () => undefined })
    const left = ['copy.sqlite', `${OURS}.partial-${GONE - 1}`, ...staying]
    expect(readdirSync(folder).sort()).toEqual(left.sort())
  })
})
