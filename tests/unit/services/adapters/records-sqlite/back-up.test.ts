import { existsSync, readdirSync, writeFileSync } from 'node:fs'
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
