import { existsSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import { afterEach, describe, expect, it } from 'vitest'
import { READINGS_HEADING, toReadingLine } from '../../../../services/codecs/readings-csv.ts'
import type { Reading } from '../../../../services/core/model/input.ts'
import type { ImportMark } from '../../../../services/core/model/ports/reading-import.ts'
import type { Settings } from '../../../../services/core/model/settings.ts'
import { openBadRows } from '../../../../services/monitor/bad-rows.ts'
import { importReadings } from '../../../../services/monitor/import-readings.ts'
import { hashOfFile, ImportFileError } from '../../../../services/monitor/import-source.ts'
import { openImport, type OpenImport } from '../../../../services/monitor/open-import.ts'
import { testSettings } from '../../../parts/shop-settings.ts'
import { createTemporaryFolders } from '../../../parts/temporary-folder.ts'

const folders = createTemporaryFolders()
const opened: OpenImport[] = []
afterEach(() => {
  opened.splice(0).forEach((parts) => parts.close())
  folders.removeAll()
})

const DAY = 86_400_000
const HOUR = 3_600_000
let nowMs = Date.UTC(2026, 10, 28, 12)
function open(dataDir: string, settings?: Settings): OpenImport {
  const parts = openImport(dataDir, () => nowMs, settings)
  opened.push(parts)
  return parts
}
const closeAll = (): void => opened.splice(0).forEach((parts) => parts.close())

function readings(count: number, fromMs: number, change: Partial<Reading> = {}): Reading[] {
  return Array.from({ length: count }, (_, i) => ({
    sensorId: i % 2 === 0 ? 'bench/humidity' : 'attic/humidity',
    quantity: 'humidity',
    atMs: fromMs + i * 5_000,
    value: 40 + (i % 80) / 8,
    ...change,
  }))
}
function fileOf(lines: readonly string[], name = 'readings.csv', lineEnd = '\n'): string {
  const path = join(folders.make(), name)
  const text = [READINGS_HEADING, ...lines].map((line) => line + lineEnd).join('')
  writeFileSync(path, name.endsWith('.gz') ? gzipSync(text) : text)
  return path
}
async function bringIn(parts: OpenImport, path: string, stopAfterBlocks = Infinity): Promise<ImportMark> {
  let blocks = 0
  return importReadings(parts, {
    path,
    fileName: 'readings.csv',
    fileHash: await hashOfFile(path),
    openBadRows: (keptBytes) => openBadRows(`${path}.bad-rows.csv`, keptBytes),
    progress: () => ++blocks < stopAfterBlocks,
  })
}
/** What is held, and what its records say of each minute and day. */
function heldIn({ reader }: OpenImport, sensorId: string, fromMs: number, toMs: number) {
  const asked = { sensorId, quantity: 'humidity' as const, fromMs, toMs }
  return {
    readings: reader.readings({ ...asked, limit: 1e6 }),
    minutes: reader.series({ ...asked, bucketMs: 60_000 }),
    days: reader.series({ ...asked, bucketMs: DAY }),
  }
}

describe('bringing readings in', { timeout: 60_000 }, () => {
  it.each(['readings.csv', 'readings.csv.gz'])(
    'IMPORT-1 %s stopped after any block goes on behind it, with rows that cannot be used told once',
    async (name) => {
      const fromMs = nowMs - 30 * DAY
      const all = readings(30_000, fromMs)
      const lines = all.map(toReadingLine)
      for (const at of [1, 9_000, 20_000, 29_999]) lines[at] = `broken ${at}`
      const path = fileOf(lines, name)
      const dataDir = folders.make()
      let mark: ImportMark = await bringIn(open(dataDir), path, 1)
      let turns = 1
      expect([mark.done, mark.added > 0]).toEqual([false, true])
      for (; !mark.done; turns++) {
        closeAll()
        // What a commit that never was had written.
        writeFileSync(`${path}.bad-rows.csv`, 'rubbish of a killed process', { flag: 'a' })
        mark = await bringIn(open(dataDir), path, 1)
      }
      expect(turns).toBeGreaterThan(3)
      expect(mark).toMatchObject({
        added: 29_996,
        bad: 4,
        held: 0,
        lines: 30_001,
      })
      const bad = readFileSync(`${path}.bad-rows.csv`, 'utf8').trimEnd().split('\r\n')
      expect(bad.map((line) => line.split(',')[0])).toEqual(['line', '3', '9002', '20002', '30001'])
      closeAll()
      const parts = open(dataDir)
      const other = open(folders.make())
      await bringIn(other, path)
      for (const sensorId of ['bench/humidity', 'attic/humidity'])
        expect(heldIn(parts, sensorId, fromMs, nowMs)).toEqual(heldIn(other, sensorId, fromMs, nowMs))
      expect(parts.reader.counts().readings).toBe(29_996)
    },
  )

  it('IMPORT-2 the same file adds nothing, nor does another with the same rows; another value is kept apart', async () => {
    const parts = open(folders.make())
    const lines = readings(100, nowMs - 30 * DAY).map(toReadingLine)
    const first = await bringIn(parts, fileOf(lines))
    expect(await bringIn(parts, fileOf(lines))).toEqual(first)
    const other = lines.map((line, i) => (i === 7 ? line.replace(/[^,]*$/, '99') : line))
    const again = await bringIn(parts, fileOf([...other, ...lines.slice(0, 3), '']))
    expect(again).toMatchObject({ added: 0, held: 102, conflicts: 1, bad: 0, done: true })
    expect(parts.reader.counts()).toMatchObject({ readings: 100, conflicts: 1 })
  })

  it('IMPORT-3 old ones are stored and counted, those of the last 72 h judged as late ones', async () => {
    const began = nowMs - 20 * DAY
    const dataDir = folders.make()
    nowMs = began
    open(dataDir, testSettings())
    closeAll()
    nowMs = began + 20 * DAY
    const parts = open(dataDir)
    const dry = { sensorId: 'bench/humidity', value: 15 }
    const old = readings(500, nowMs - 80 * HOUR, dry)
    const recent = readings(2_000, nowMs - 10 * HOUR, dry)
    const mark = await bringIn(parts, fileOf([...old, ...recent].map(toReadingLine)))
    expect(mark).toMatchObject({ added: 2_500, notJudged: 500 })
    expect(parts.reader.counts().notJudged).toBe(500)
    const episodes = parts.reader.episodes({ fromMs: 0, toMs: nowMs })
    expect(episodes.some((e) => e.condition.startsWith('air'))).toBe(true)
    expect(Math.min(...episodes.map((e) => e.fromMs))).toBeGreaterThanOrEqual(nowMs - 10 * HOUR)
  })

  it('IMPORT-3 nobody was heard by it', async () => {
    const dataDir = folders.make()
    open(dataDir, testSettings())
    closeAll()
    nowMs += DAY
    const parts = open(dataDir)
    const before = structuredClone([...parts.keeper.state().sensors])
    await bringIn(parts, fileOf(readings(10, nowMs - HOUR).map(toReadingLine)))
    expect([...parts.keeper.state().sensors]).toEqual(before)
    expect([...parts.keeper.state().nodes.keys()]).toEqual([])
    const heard = parts.reader.heardSensors().find((s) => s.sensorId === 'attic/humidity')
    expect(heard).toMatchObject({ receivedMs: nowMs - HOUR + 45_000, readings: 5 })
  })

  it('IMPORT-4 a file of which nothing can be used is refused as a whole, with the first reason', async () => {
    const parts = open(folders.make())
    const path = fileOf(readings(2_000, nowMs - DAY).map((r) => toReadingLine(r).replace('.', ',')))
    await expect(bringIn(parts, path)).rejects.toThrow(/not one of the first \d+ rows.*Line 2, /)
    expect(parts.reader.counts().readings).toBe(0)
    expect(existsSync(`${path}.bad-rows.csv`)).toBe(false)
    const empty = join(folders.make(), 'empty.csv')
    writeFileSync(empty, '')
    await expect(bringIn(parts, empty)).rejects.toThrow(ImportFileError)
  })

  it('IMPORT-4 the file of bad rows takes the place of an earlier one, and of nothing else', async () => {
    const parts = open(folders.make())
    const path = fileOf([...readings(2, nowMs - DAY).map(toReadingLine), 'nonsense'])
    writeFileSync(`${path}.bad-rows.csv`, 'a letter to the landlord, which nobody wants to lose\n')
    await expect(bringIn(parts, path)).rejects.toThrow(
      /bad-rows\.csv is there already and holds something else, which stays: name another file for bad rows/,
    )
    expect(readFileSync(`${path}.bad-rows.csv`, 'utf8')).toMatch(/^a letter/)
    writeFileSync(`${path}.bad-rows.csv`, 'line,field,problem,row\r\n9,row,of an earlier file,x\r\n')
    expect(await bringIn(parts, path)).toMatchObject({ added: 2, bad: 1 })
    expect(readFileSync(`${path}.bad-rows.csv`, 'utf8')).toMatch(/^line,field,problem,row\r\n4,row,/)
  })

  it('IMPORT-4 CRLF, a BOM and quotes are no fault; a huge line is one', async () => {
    const parts = open(folders.make())
    const path = join(folders.make(), 'odd.csv')
    const [a, b] = readings(2, nowMs - DAY).map(toReadingLine)
    const quoted = b
      ?.split(',')
      .map((cell) => `"${cell}"`)
      .join(',')
    const huge = 'x'.repeat(3_000_000)
    writeFileSync(path, `\uFEFF${READINGS_HEADING}\r\n${a}\r\n${huge}\r\n${quoted}\r\n`)
    expect(await bringIn(parts, path)).toMatchObject({ added: 2, bad: 1, lines: 4, done: true })
    expect(readFileSync(`${path}.bad-rows.csv`, 'utf8')).toMatch(/^line,field,problem,row\r\n3,row,is longer/)
  })

  it('a packed file that ends in the middle keeps what came before, and says so', async () => {
    const parts = open(folders.make())
    const whole = fileOf(
      readings(60_000, nowMs - 30 * DAY).map((r, i) => toReadingLine({ ...r, value: (i * 7919) % 97 })),
      'a.csv.gz',
    )
    const path = join(folders.make(), 'cut.csv.gz')
    const packed = readFileSync(whole)
    writeFileSync(path, packed.subarray(0, packed.length - 1_000))
    await expect(bringIn(parts, path)).rejects.toThrow(/ends in the middle.*copy it again/)
    const { readings: held } = parts.reader.counts()
    expect(held).toBeGreaterThan(0)
    const mark = await bringIn(parts, whole)
    expect([mark.added + mark.held, parts.reader.counts().readings]).toEqual([60_000, 60_000])
  })

  it('IMPORT-5 of a minute of which only the record is left, nothing is counted twice', async () => {
    const parts = open(folders.make())
    const fromMs = Math.floor((nowMs - 500 * DAY) / DAY) * DAY
    const old = readings(200, fromMs, { sensorId: 'bench/humidity' })
    await bringIn(parts, fileOf(old.slice(0, 150).map(toReadingLine)))
    parts.book.transaction(() => parts.book.pruneReadings(nowMs - 396 * DAY))
    const before = heldIn(parts, 'bench/humidity', fromMs, fromMs + DAY)
    expect(before.readings).toEqual([])
    const mark = await bringIn(parts, fileOf(old.map(toReadingLine)))
    // The minute that was begun holds some of both: what is left of it is left out too.
    expect(mark).toMatchObject({ added: 44, covered: 156 })
    const after = heldIn(parts, 'bench/humidity', fromMs, fromMs + DAY)
    expect(after.minutes.slice(0, 13)).toEqual(before.minutes)
  })
})
