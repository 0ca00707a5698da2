import BetterSqlite3 from 'better-sqlite3'
import { existsSync, mkdtempSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, describe, expect, it } from 'vitest'
import { createSqliteHistoryReader } from '../../services/adapters/records-sqlite/create-history-reader.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import { DATABASE_FILE } from '../../services/adapters/records-sqlite/take-place.ts'
import { READINGS_HEADING, toReadingLine } from '../../services/codecs/readings-csv.ts'
import type { Reading } from '../../services/core/model/input.ts'
import { spawnCommand, type CommandProcess } from '../parts/import-process.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'
import { waitFor } from '../parts/wait-for.ts'

const folders = createTemporaryFolders()
afterEach(() => folders.removeAll())

const DAY = 86_400_000
const T0 = Math.floor(Date.now() / DAY) * DAY - 100 * DAY
const SENSORS = ['bench/humidity', 'attic/humidity', 'hut/humidity'] as const
const ROWS = 150_000

function all(): Reading[] {
  return Array.from({ length: ROWS }, (_, i) => ({
    sensorId: SENSORS[i % 3] ?? '',
    quantity: 'humidity' as const,
    atMs: T0 + Math.floor(i / 3) * 30_000,
    value: 30 + ((i * 7919) % 400) / 8,
  }))
}
function writeFile(readings: readonly Reading[]): string {
  const path = join(folders.make(), 'readings.csv')
  writeFileSync(path, [READINGS_HEADING, ...readings.map(toReadingLine), ''].join('\n'))
  return path
}
/** Committed rows of an import that may be running. */
function committed(dataDir: string): number {
  const path = join(dataDir, DATABASE_FILE)
  if (!existsSync(path)) return 0
  try {
    const db = new BetterSqlite3(path, { readonly: true, timeout: 5_000 })
    const row = db.prepare<[], { value: number }>(`SELECT value FROM counter WHERE name = 'readings'`).get()
    db.close()
    return row?.value ?? 0
  } catch {
    // The first moment of a new file.
    return 0
  }
}
async function pastRows(run: CommandProcess, dataDir: string, rows: number): Promise<void> {
  await waitFor(
    `${rows} rows to be committed\n${run.output()}`,
    () => (committed(dataDir) > rows ? true : null),
    60_000,
  )
}

describe('import and export from the command line', () => {
  it('IMPORT-1 killed again and again it goes on where it was: counts and sums are equal', async () => {
    const readings = all()
    const path = writeFile(readings)
    const dataDir = mkdtempSync(join(tmpdir(), 'nightcap-import-'))
    let kills = 0
    for (const rows of [0, 40_000, 90_000]) {
      const run = spawnCommand(['import', '--from', path], dataDir)
      await pastRows(run, dataDir, rows)
      run.kill('SIGKILL')
      if ((await run.ended) === 'SIGKILL') kills++
    }
    expect(kills).toBe(3)
    expect(committed(dataDir)).toBeLessThan(ROWS)
    const last = spawnCommand(['import', '--from', path], dataDir)
    expect([await last.ended, last.output()]).toEqual([
      0,
      expect.stringMatching(/Going on with .* behind line/),
    ])
    expect(last.output()).toMatch(/150,000 readings were added/)
    expect(existsSync(`${path}.bad-rows.csv`)).toBe(false)
    const again = spawnCommand(['import', '--from', path], dataDir)
    expect([await again.ended, again.output()]).toEqual([
      0,
      expect.stringMatching(/is in already.*nothing to do/),
    ])
    const db = openDatabase({ dataDir })
    const history = createSqliteHistoryReader({ db })
    for (const sensorId of SENSORS) {
      const its = readings.filter((r) => r.sensorId === sensorId)
      const query = { sensorId, quantity: 'humidity' as const, fromMs: 0, toMs: Date.now() }
      const totals = await history.totals(query)
      expect(totals).toMatchObject({ count: its.length, firstMs: its[0]?.atMs, lastMs: its.at(-1)?.atMs })
      expect(totals?.sum).toBeCloseTo(
        its.reduce((sum, r) => sum + r.value, 0),
        3,
      )
      const raw = db
        .prepare<[string], { n: number; sum: number }>(
          'SELECT count(*) AS n, sum(value) AS sum FROM reading WHERE series = (SELECT id FROM series WHERE sensor_id = ?)',
        )
        .get(sensorId)
      expect(raw?.n).toBe(its.length)
      expect(raw?.sum).toBeCloseTo(totals?.sum ?? NaN, 3)
    }
    db.close()
  }, 180_000)

  it('told to stop, it ends the block, says how to go on, and goes on', async () => {
    const path = writeFile(all())
    const dataDir = folders.make()
    const run = spawnCommand(['import', '--from', path], dataDir)
    await pastRows(run, dataDir, 0)
    run.kill('SIGTERM')
    expect(await run.ended).toBe(1)
    expect(run.output()).toMatch(/Stopped behind line [\d,]+. Start it again with .*readings.csv to go on/)
    const before = committed(dataDir)
    expect(before).toBeLessThan(ROWS)
    const next = spawnCommand(['import', '--from', path], dataDir)
    expect([await next.ended, committed(dataDir)]).toEqual([0, ROWS])
  }, 120_000)

  it('rows that cannot be used end it with 1, and stand in a file beside it', async () => {
    const dataDir = folders.make()
    const [good] = all()
    if (!good) throw new Error('there is a reading')
    const path = join(folders.make(), 'odd.csv')
    writeFileSync(
      path,
      `\uFEFF${READINGS_HEADING}\r\n${toReadingLine(good)}\r\na/b,humidity,%RH,2026-05-04T08:00:00Z,45,2\r\n`,
    )
    const run = spawnCommand(['import', '--from', path], dataDir)
    expect([await run.ended, run.output()]).toEqual([
      1,
      expect.stringMatching(/1 rows could not be used.*bad-rows.csv/),
    ])
    expect(readFileSync(`${path}.bad-rows.csv`, 'utf8')).toMatch(/3,row,.*decimal comma/)
  }, 60_000)

  it('a folder that a monitor holds is left alone by an import, and read by an export', async () => {
    const dataDir = folders.make()
    const path = writeFile(all().slice(0, 300))
    expect(await spawnCommand(['import', '--from', path], dataDir).ended).toBe(0)
    const held = openDatabase({ dataDir })
    const run = spawnCommand(['import', '--from', path], dataDir)
    expect([await run.ended, run.output()]).toEqual([
      1,
      expect.stringMatching(/another monitor.*stop it first/),
    ])
    const folder = join(folders.make(), 'shop')
    const out = spawnCommand(['export', '--to', folder], dataDir)
    expect([await out.ended, out.output()]).toEqual([0, expect.stringMatching(/readings.csv.gz +300 lines/)])
    held.close()
    const other = folders.make()
    const back = spawnCommand(['import', '--from', folder], other)
    expect([await back.ended, back.output()]).toEqual([0, expect.stringMatching(/300 readings were added/)])
    const twice = join(folders.make(), 'shop')
    expect(await spawnCommand(['export', '--to', twice], other).ended).toBe(0)
    for (const name of readdirSync(folder))
      expect(readFileSync(join(twice, name))).toEqual(readFileSync(join(folder, name)))
  }, 120_000)

  it.each([
    [['import'], /--from is missing: name a file/],
    [['import', '--from', 'nowhere.csv'], /--from: there is no nowhere.csv/],
    [['import', '--from', 'package.json'], /is no .csv or .csv.gz file/],
    [['export'], /--to is missing/],
    [['export', '--what', 'everything', '--to', 'x'], /--what takes shop, readings or settings/],
    [['export', '--what', 'readings', '--to', 'x.xls'], /end in .csv or .csv.gz/],
    [['export', '--to', 'x', '--sensor', 'a/b'], /go with --what readings alone/],
    [
      ['export', '--what', 'readings', '--to', 'x.csv', '--since', 'monday'],
      /--since takes a time with its offset/,
    ],
  ])(
    '%j is a wrong use, told with its cure and ended with 2',
    async (args, words) => {
      const run = spawnCommand(args, folders.make())
      expect([await run.ended, run.output()]).toEqual([2, expect.stringMatching(words)])
    },
    60_000,
  )
})
