import BetterSqlite3 from 'better-sqlite3'
import {
  chmodSync,
  mkdirSync,
  openSync,
  closeSync,
  readFileSync,
  readdirSync,
  statSync,
  writeFileSync,
  writeSync,
} from 'node:fs'
import { join } from 'node:path'
import { afterEach, describe, expect, it } from 'vitest'
import { createSqliteBookOfRecord } from '../../../../../services/adapters/records-sqlite/create-book-of-record.ts'
import { createSqliteRecordsReader } from '../../../../../services/adapters/records-sqlite/create-records-reader.ts'
import { SCHEMA_VERSION } from '../../../../../services/adapters/records-sqlite/migrations.ts'
import { openDatabase } from '../../../../../services/adapters/records-sqlite/open-database.ts'
import { DATABASE_FILE } from '../../../../../services/adapters/records-sqlite/take-place.ts'
import {
  RecordsError,
  type RecordsErrorCode,
} from '../../../../../services/adapters/records-sqlite/records-error.ts'
import { SCHEMA_1 } from '../../../../../services/adapters/records-sqlite/schema-1.ts'
import { SCHEMA_2 } from '../../../../../services/adapters/records-sqlite/schema-2.ts'
import { SCHEMA_3 } from '../../../../../services/adapters/records-sqlite/schema-3.ts'
import { spawnRecordsChild } from '../../../../parts/spawn-records-child.ts'
import { createTemporaryFolders } from '../../../../parts/temporary-folder.ts'
import { deadline, pack, reading, settingsInput } from '../../../../contracts/record-samples.ts'

const folders = createTemporaryFolders()
afterEach(folders.removeAll)

const mode = (path: string): string => (statSync(path).mode & 0o777).toString(8)

function refusal(dataDir: string): RecordsError {
  try {
    openDatabase({ dataDir }).close()
  } catch (error) {
    if (error instanceof RecordsError) return error
    throw error
  }
  throw new Error('it opened')
}

function expectRefusal(dataDir: string, code: RecordsErrorCode, cure: RegExp): RecordsError {
  const error = refusal(dataDir)
  expect([error.name, error.code]).toEqual(['RecordsError', code])
  expect(error.message).toMatch(cure)
  return error
}

/** A folder with a database of some size, closed, and the path of the file. */
function filledFolder(): { dataDir: string; path: string } {
  const dataDir = folders.make()
  const book = createSqliteBookOfRecord({ db: openDatabase({ dataDir }) })
  book.transaction(() => {
    for (let seq = 1; seq <= 2000; seq++) book.appendInput(pack(seq, [reading(seq)]))
  })
  book.close()
  return { dataDir, path: join(dataDir, DATABASE_FILE) }
}

function overwrite(path: string, atByte: number, bytes: Buffer): void {
  const file = openSync(path, 'r+')
  writeSync(file, bytes, 0, bytes.length, atByte)
  closeSync(file)
}

describe('opening a data folder', () => {
  it('OPEN-1 makes the folder and the file for this user alone', () => {
    const dataDir = join(folders.make(), 'deep', 'data')
    const db = openDatabase({ dataDir })
    const made = readdirSync(dataDir).filter((name) => mode(join(dataDir, name)) !== '600')
    expect([mode(dataDir), mode(join(dataDir, DATABASE_FILE)), made]).toEqual(['700', '600', []])
    db.close()
  })

  it('OPEN-2 syncs every commit, keeps a write-ahead log and checks references', () => {
    const db = openDatabase({ dataDir: folders.make() })
    const pragma = (name: string): unknown => db.pragma(name, { simple: true })
    expect([pragma('journal_mode'), pragma('synchronous'), pragma('foreign_keys')]).toEqual(['wal', 2, 1])
    expect(Number(pragma('busy_timeout'))).toBeGreaterThan(0)
    db.close()
  })

  it('OPEN-3 what was committed is there after closing and opening', () => {
    const { dataDir } = filledFolder()
    const book = createSqliteBookOfRecord({ db: openDatabase({ dataDir }) })
    expect(book.lastSeq()).toBe(2000)
    expect([...book.inputsAfter(1999)]).toEqual([pack(2000, [reading(2000)])])
    book.close()
  })
})

describe('a database of an earlier schema', () => {
  const earlier: readonly [number, string][] = [
    [0, ''],
    [1, SCHEMA_1],
    [2, SCHEMA_1 + SCHEMA_2],
    [3, SCHEMA_1 + SCHEMA_2 + SCHEMA_3],
  ]

  it('MIGRATE-1 there is a case for every schema so far', () => {
    expect(earlier.map(([version]) => version)).toEqual(
      Array.from({ length: SCHEMA_VERSION + 1 }, (_, i) => i),
    )
  })

  it.each(earlier)('MIGRATE-2 one of version %i opens and can be written', (version, sql) => {
    const dataDir = folders.make()
    const old = new BetterSqlite3(join(dataDir, DATABASE_FILE))
    old.exec(sql)
    old.pragma(`user_version = ${version}`)
    old.close()
    const db = openDatabase({ dataDir })
    expect(db.pragma('user_version', { simple: true })).toBe(SCHEMA_VERSION)
    const book = createSqliteBookOfRecord({ db })
    book.transaction(() => book.appendInput(deadline(1)))
    expect(book.lastSeq()).toBe(1)
    book.close()
  })

  it('MIGRATE-2 settings from before the second schema are still in force after it', () => {
    const dataDir = folders.make()
    const old = new BetterSqlite3(join(dataDir, DATABASE_FILE))
    old.exec(SCHEMA_1)
    old.pragma('user_version = 1')
    const { seq, ...body } = settingsInput(1, 1000, 'Before')
    old
      .prepare('INSERT INTO input (seq, type, at_ms, received_ms, json) VALUES (?, ?, ?, ?, ?)')
      .run(seq, 'settings', 1000, 1000, JSON.stringify(body))
    old.close()
    const book = createSqliteBookOfRecord({ db: openDatabase({ dataDir }) })
    expect(book.history.ordersFrom(2000)).toEqual([{ ...body, seq }])
    book.close()
  })

  it('MIGRATE-2 a task from before the third schema still shows, with what it did not know left empty', () => {
    const dataDir = folders.make()
    const old = new BetterSqlite3(join(dataDir, DATABASE_FILE))
    old.exec(SCHEMA_1 + SCHEMA_2)
    old.pragma('user_version = 2')
    const task = {
      id: 'task-1',
      alarmId: 'alarm-1',
      subject: { kind: 'bottle', id: 'roll-waste' },
      title: 'Empty the waste bottle',
      why: 'It is nearly full.',
      steps: ['Empty it'],
      cautions: ['Gloves'],
      supplies: ['Gloves'],
      urgency: 'beforeOpening',
      state: 'signedOff',
      openedMs: 1000,
      closedMs: 2000,
      signedOff: { actorId: 'ana', via: 'screen', atMs: 2000, note: '1.6 L' },
    }
    old
      .prepare('INSERT INTO task (id, state, opened_ms, changed_ms, json) VALUES (?, ?, ?, ?, ?)')
      .run(task.id, task.state, task.openedMs, 2000, JSON.stringify(task))
    old.close()
    const db = openDatabase({ dataDir })
    const reader = createSqliteRecordsReader({ db })
    const known = {
      origin: 'alarm',
      routineId: null,
      assigneeId: null,
      deferred: null,
      proof: [],
      repeats: 0,
    }
    expect(reader.tasks({ states: ['signedOff'], limit: 10 })).toMatchObject([{ ...task, ...known }])
    expect(reader.task('task-1')).toMatchObject({ ...task, ...known })
    db.close()
  })

  it('MIGRATE-2 readings from before the third schema are rolled up by it', () => {
    const dataDir = folders.make()
    const old = new BetterSqlite3(join(dataDir, DATABASE_FILE))
    old.exec(SCHEMA_1 + SCHEMA_2)
    old.pragma('user_version = 2')
    old.exec(`INSERT INTO series VALUES (1, 'room/humidity', 'humidity');
      INSERT INTO reading VALUES (1, 60000, 40, 1), (1, 90000, 44, 1), (1, 119999, 42, 1), (1, 180000, 50, 1), (1, -1, 7, 1)`)
    old.close()
    const db = openDatabase({ dataDir })
    const reader = createSqliteRecordsReader({ db })
    db.exec('DELETE FROM reading WHERE at_ms < 180000')
    const query = { sensorId: 'room/humidity', fromMs: -60_000, toMs: 240_000, bucketMs: 60_000 }
    expect(reader.series(query)).toEqual([
      { atMs: -60_000, min: 7, mean: 7, max: 7, last: 7 },
      { atMs: 60_000, min: 40, mean: 42, max: 44, last: 42 },
      { atMs: 180_000, min: 50, mean: 50, max: 50, last: 50 },
    ])
    db.close()
  })

  it('MIGRATE-3 a file of no bytes, left by a crash at the first start, is an empty database', () => {
    const dataDir = folders.make()
    writeFileSync(join(dataDir, DATABASE_FILE), '')
    openDatabase({ dataDir }).close()
  })

  it('MIGRATE-4 one of a newer schema is refused, and stays as it was', () => {
    const { dataDir, path } = filledFolder()
    const newer = new BetterSqlite3(path)
    newer.pragma(`user_version = ${SCHEMA_VERSION + 1}`)
    newer.close()
    const before = readFileSync(path)
    expectRefusal(dataDir, 'RECORDS_NEWER', /newer Nightcap .*start the newer release/)
    expect(readFileSync(path).equals(before)).toBe(true)
  })
})

describe('a damaged database', () => {
  const damages: readonly [string, (path: string) => void][] = [
    ['with another beginning', (path) => overwrite(path, 0, Buffer.from('this is not a database'))],
    ['with pages of garbage', (path) => overwrite(path, 4096 * 5, Buffer.alloc(4096 * 8, 0xa5))],
    ['that was cut short', (path) => writeFileSync(path, readFileSync(path).subarray(0, 4096 * 6))],
    ['of text', (path) => writeFileSync(path, 'nothing of ours'.repeat(1000))],
  ]

  it.each(damages)('DAMAGE-1 one %s is refused, stays as it was, and has a copy beside it', (_, damage) => {
    const { dataDir, path } = filledFolder()
    damage(path)
    const before = readFileSync(path)
    const error = expectRefusal(
      dataDir,
      'RECORDS_CORRUPT',
      /damaged .*Put a backup in its place, or move it away/,
    )
    const aside = /copy at (\S+)\. Put/.exec(error.message)?.[1] ?? ''
    expect(readFileSync(aside).equals(before)).toBe(true)
    expect(readFileSync(path).equals(before)).toBe(true)
    expect(mode(aside)).toBe('600')
  })

  it('DAMAGE-2 starting again and again makes one copy', () => {
    const { dataDir, path } = filledFolder()
    damages[0]?.[1](path)
    for (let start = 0; start < 3; start++) expect(refusal(dataDir).code).toBe('RECORDS_CORRUPT')
    expect(readdirSync(dataDir).filter((name) => name.includes('damaged'))).toHaveLength(1)
  })

  it('DAMAGE-3 the folder is free afterwards: with the file moved away a new one begins', () => {
    const { dataDir, path } = filledFolder()
    damages[0]?.[1](path)
    expect(refusal(dataDir).code).toBe('RECORDS_CORRUPT')
    writeFileSync(path, '')
    openDatabase({ dataDir }).close()
  })
})

describe('a second monitor on a data folder', () => {
  it('LOCK-1 is refused while another process has it open, and told which', async () => {
    const dataDir = folders.make()
    const child = await spawnRecordsChild('hold', dataDir)
    expectRefusal(
      dataDir,
      'RECORDS_IN_USE',
      new RegExp(`process ${child.pid}\\b.*stop it first, or name another NIGHTCAP_DATA_DIR`),
    )
    await child.kill()
  })

  it('LOCK-2 may open it once the first was killed, whatever the files say', async () => {
    const dataDir = folders.make()
    const child = await spawnRecordsChild('hold', dataDir)
    await child.kill()
    // In a container every start may have the number of the one before.
    writeFileSync(join(dataDir, 'nightcap.pid'), String(process.pid))
    openDatabase({ dataDir }).close()
  })

  it('LOCK-3 is refused within the same process too, and the first goes on writing', () => {
    const dataDir = folders.make()
    const book = createSqliteBookOfRecord({ db: openDatabase({ dataDir }) })
    expect(refusal(dataDir).code).toBe('RECORDS_IN_USE')
    book.transaction(() => book.appendInput(deadline(1)))
    expect(refusal(dataDir).code).toBe('RECORDS_IN_USE')
    book.close()
    openDatabase({ dataDir }).close()
  })

  it('LOCK-4 refused by one process, the first still keeps others out', async () => {
    const dataDir = folders.make()
    const db = openDatabase({ dataDir })
    expect(refusal(dataDir).code).toBe('RECORDS_IN_USE')
    await expect(spawnRecordsChild('hold', dataDir)).rejects.toThrow(/RECORDS_IN_USE/)
    db.close()
  })
})

describe('a data folder that cannot be used', () => {
  it('FOLDER-1 a file in its place is named, with a cure', () => {
    const dataDir = join(folders.make(), 'taken')
    writeFileSync(dataDir, '')
    expectRefusal(dataDir, 'RECORDS_FOLDER', /taken cannot be used .*name another NIGHTCAP_DATA_DIR/)
  })

  it('FOLDER-2 a folder that may only be read is named, with a cure, and nothing is left in it', () => {
    const parent = folders.make()
    chmodSync(parent, 0o755)
    const dataDir = join(parent, 'data')
    mkdirSync(dataDir, { mode: 0o555 })
    asOrdinaryUser(() =>
      expectRefusal(dataDir, 'RECORDS_FOLDER', /cannot be used .*the right to write there/),
    )
    expect(readdirSync(dataDir)).toEqual([])
  })

  it.each(['nightcap.lock', DATABASE_FILE])(
    'FOLDER-3 a %s that may only be read is neither used nor called damaged',
    (name) => {
      const { dataDir, path } = filledFolder()
      chmodSync(dataDir, 0o777)
      for (const file of ['nightcap.lock', DATABASE_FILE])
        chmodSync(join(dataDir, file), file === name ? 0o444 : 0o666)
      const before = readFileSync(path)
      asOrdinaryUser(() =>
        expectRefusal(dataDir, 'RECORDS_FOLDER', /cannot be used .*readonly.*the right to write there/),
      )
      expect(readFileSync(path).equals(before)).toBe(true)
      expect(readdirSync(dataDir).some((file) => file.includes('damaged'))).toBe(false)
    },
  )
})

/** Root may write anywhere: as root, runs `work` as the user "nobody". */
function asOrdinaryUser(work: () => void): void {
  const isRoot = process.getuid?.() === 0
  if (isRoot) process.seteuid?.(65_534)
  try {
    work()
  } finally {
    if (isRoot) process.seteuid?.(0)
  }
}
