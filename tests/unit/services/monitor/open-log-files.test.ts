import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { createSqliteBookOfRecord } from '../../../../services/adapters/records-sqlite/create-book-of-record.ts'
import { openDatabase } from '../../../../services/adapters/records-sqlite/open-database.ts'
import type { LogFiles } from '../../../../services/core/model/ports/log-files.ts'
import { openLogFiles } from '../../../../services/monitor/open-log-files.ts'
import { logNote } from '../../../contracts/record-samples.ts'
import { testSettings } from '../../../parts/shop-settings.ts'
import { createTemporaryFolders } from '../../../parts/temporary-folder.ts'

const EVER = { fromMs: 0, toMs: 8.64e15 }
const NOTES = 20_000
const folders = createTemporaryFolders()
let dataDir: string
let files: LogFiles

beforeEach(() => {
  dataDir = folders.make()
  files = openLogFiles({ dataDir, settings: testSettings })
})
afterEach(() => folders.removeAll())

function writeNotes(): void {
  const db = openDatabase({ dataDir })
  const book = createSqliteBookOfRecord({ db })
  const notes = Array.from({ length: NOTES }, (_, n) => logNote(`n${n}`))
  book.transaction(() =>
    book.applyEffects(
      1,
      notes.map((entry) => ({ type: 'logEntryNoted' as const, entry, atMs: 1 })),
    ),
  )
  db.close()
}

async function textOf(file: AsyncIterable<string>): Promise<string> {
  let text = ''
  for await (const piece of file) text += piece
  return text
}
const linesOf = (text: string): number => text.split('\r\n').length - 1

describe('files of the logbook', { timeout: 60_000 }, () => {
  it('FILE-2 two at once are both whole, and the same', async () => {
    writeNotes()
    const [one, two] = await Promise.all([textOf(files.csv('note', EVER)), textOf(files.csv('note', EVER))])
    expect(linesOf(one)).toBe(NOTES + 1)
    expect(one === two).toBe(true)
  })
  it('FILE-2 one that nobody listens to any more makes room for the next', async () => {
    writeNotes()
    for await (const piece of files.csv('note', EVER)) {
      expect(piece).toContain('noted_at_utc')
      break
    }
    for await (const piece of files.csv('care', EVER)) expect(linesOf(piece)).toBe(1)
  })
  it('FILE-1 a book that cannot be read is an error, and the next file is tried again', async () => {
    await expect(textOf(files.csv('note', EVER))).rejects.toThrow('unable to open database file')
    writeNotes()
    expect(linesOf(await textOf(files.csv('note', EVER)))).toBe(NOTES + 1)
  })
})
