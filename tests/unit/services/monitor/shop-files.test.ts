import {
  appendFileSync,
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs'
import { createHash } from 'node:crypto'
import { join } from 'node:path'
import { gunzipSync } from 'node:zlib'
import { afterEach, describe, expect, it } from 'vitest'
import { createSqliteShopReader } from '../../../../services/adapters/records-sqlite/create-shop-reader.ts'
import { openSnapshot } from '../../../../services/adapters/records-sqlite/open-snapshot.ts'
import { MANIFEST_FILE, SHOP_FILES } from '../../../../services/codecs/shop-manifest.ts'
import type { Reading } from '../../../../services/core/model/input.ts'
import { openBadRows } from '../../../../services/monitor/bad-rows.ts'
import { exportReadings, exportShop } from '../../../../services/monitor/export-shop.ts'
import { importReadings } from '../../../../services/monitor/import-readings.ts'
import { checkShopFolder, importShopRest, type ShopCounts } from '../../../../services/monitor/import-shop.ts'
import { hashOfFile } from '../../../../services/monitor/import-source.ts'
import { openImport, type OpenImport } from '../../../../services/monitor/open-import.ts'
import { testSettings } from '../../../parts/shop-settings.ts'
import { writeLines } from '../../../../services/monitor/text-file.ts'
import { createTemporaryFolders } from '../../../parts/temporary-folder.ts'

const folders = createTemporaryFolders()
const opened: { close: () => void }[] = []
const closeAll = (): void => opened.splice(0).forEach((one) => one.close())
afterEach(() => {
  closeAll()
  folders.removeAll()
})

const DAY = 86_400_000
const NOW = Date.UTC(2026, 10, 28, 12)
const KEPT_FROM = NOW - 396 * DAY
const ACT = { actorId: 'person-owner', via: 'screen', atMs: NOW - DAY } as const
const HUSH = 'https://hooks.example.net/a-key-in-its-path'

function settings() {
  const own = testSettings()
  const contacts = [{ id: 'owner', title: 'Owner', webhookUrl: HUSH }]
  return testSettings({ ...own, contacts })
}
function open(dataDir: string, first = settings()): OpenImport {
  const parts = openImport(dataDir, () => NOW, first)
  opened.push(parts)
  return parts
}
const at = (atMs: number, value: number, sensorId = 'bench/humidity'): Reading => ({
  sensorId,
  quantity: 'humidity',
  atMs,
  value,
})

/** A shop with two years of readings, of which a part has gone, a corrected check, a voided note and a disposal. */
function makeShop(dataDir: string): void {
  const { book, keeper } = open(dataDir)
  const stamp = { atMs: NOW, receivedMs: NOW }
  const times = Array.from({ length: 1_400 }, (_, i) => NOW - 730 * DAY + i * (DAY / 2) + (i % 3) * 20_000)
  book.transaction(() => {
    keeper.take({
      type: 'readings',
      ...stamp,
      nodeId: 'bench',
      readings: times.map((t, i) => at(t, 40 + (i % 7) / 3)),
    })
    keeper.take({
      type: 'readings',
      ...stamp,
      nodeId: 'attic',
      readings: times.map((t, i) => at(t, i / 1e3, 'attic/damp')),
    })
    // A minute of which a part has gone.
    const edge = Math.floor(KEPT_FROM / 60_000) * 60_000
    const around = [edge + 1, edge + 59_000].map((t, i) => at(t, 50 + i, 'edge/humidity'))
    keeper.take({ type: 'readings', ...stamp, nodeId: 'edge', readings: around })
    book.pruneReadings(edge + 30_000)
    const check = {
      kind: 'nozzleCheck' as const,
      checkId: 'check-1',
      machineId: 'roll',
      checkedMs: NOW - DAY,
      reason: 'routine' as const,
      missing: [{ channelGroupId: 'roll-colour', missingNozzles: 3 }],
      note: 'left, "edge"\nand below',
      void: false,
    }
    const note = {
      kind: 'note' as const,
      noteId: 'note-1',
      subject: { kind: 'machine' as const, id: 'roll' },
      text: 'ü',
      atMs: NOW - DAY,
    }
    keeper.take({ type: 'logEntriesNoted', ...stamp, act: ACT, entries: [check, { ...note, void: false }] })
    const corrected = { ...check, missing: [] }
    keeper.take({
      type: 'logEntriesNoted',
      ...stamp,
      act: { ...ACT, atMs: NOW },
      entries: [corrected, { ...note, void: true }],
    })
    keeper.take({
      type: 'nozzleCheckLogged',
      ...stamp,
      act: ACT,
      machineId: 'roll',
      reason: 'routine',
      missing: [],
    })
    const disposal = {
      disposalId: 'd-1',
      bottleId: null,
      volumeMl: 900,
      toWhom: 'The hauler',
      note: '',
      disposedMs: NOW - DAY,
    }
    keeper.take({ type: 'disposalLogged', ...stamp, act: ACT, ...disposal })
    keeper.take({ type: 'disposalLogged', ...stamp, act: ACT, ...disposal, volumeMl: 950 })
    keeper.beforeCommit(NOW)
  })
  closeAll()
}
async function writeOut(dataDir: string): Promise<string> {
  const shop = createSqliteShopReader({ db: openSnapshot(dataDir) })
  const folder = join(folders.make(), 'export')
  await exportShop(shop, folder)
  shop.close()
  return folder
}
async function takeIn(folder: string, dataDir: string): Promise<ShopCounts> {
  const parts = open(dataDir, await checkShopFolder(folder))
  const path = join(folder, 'readings.csv.gz')
  await importReadings(parts, {
    path,
    fileName: 'readings.csv.gz',
    fileHash: await hashOfFile(path),
    openBadRows: (kept) => openBadRows(`${path}.bad`, kept),
    progress: () => true,
  })
  const counts = await importShopRest(parts, folder)
  closeAll()
  return counts
}
const hashesOf = (folder: string): Record<string, string> =>
  Object.fromEntries(
    readdirSync(folder).map((name) => [
      name,
      createHash('sha256')
        .update(readFileSync(join(folder, name)))
        .digest('hex'),
    ]),
  )

describe('a shop in files', { timeout: 60_000 }, () => {
  it('EXPORT-2, SHOP-1: exported, taken in elsewhere and exported again it is the same to the byte; twice adds nothing', async () => {
    const [from, to] = [folders.make(), folders.make()]
    makeShop(from)
    const first = await writeOut(from)
    const counts = await takeIn(first, to)
    expect(counts).toMatchObject({ logEntries: 5, disposals: 2 })
    expect(counts.minutes).toBeGreaterThan(1_000)
    expect(hashesOf(await writeOut(to))).toEqual(hashesOf(first))
    expect(await takeIn(first, to)).toEqual({ minutes: 0, logEntries: 0, disposals: 0 })
    expect(hashesOf(await writeOut(to))).toEqual(hashesOf(first))
    // What charts show of the years is the same too, and so is what is known of the minute that was cut.
    const [a, b] = [open(from), open(to)]
    for (const sensorId of ['bench/humidity', 'attic/damp', 'edge/humidity'])
      for (const bucketMs of [60_000, DAY]) {
        const query = { sensorId, quantity: 'humidity' as const, fromMs: 0, toMs: NOW, bucketMs }
        const [wanted, got] = [a.reader.series(query), b.reader.series(query)]
        expect(wanted.length).toBeGreaterThan(0)
        expect(got.map((p) => [p.atMs, p.min, p.max, p.last])).toEqual(
          wanted.map((p) => [p.atMs, p.min, p.max, p.last]),
        )
        got.forEach((p, i) => expect(p.mean).toBeCloseTo(wanted[i]?.mean ?? NaN, 9))
      }
    expect(b.reader.nozzleCheckHistory('check-1')).toEqual(a.reader.nozzleCheckHistory('check-1'))
    const ever = { fromMs: 0, toMs: Infinity, limit: 9 }
    expect(b.reader.disposals(ever)).toEqual(a.reader.disposals(ever))
  })

  it('EXPORT-1 nothing is overwritten, what is not whole is not there, and only this user may read it', async () => {
    const from = folders.make()
    makeShop(from)
    const shop = createSqliteShopReader({ db: openSnapshot(from) })
    opened.push(shop)
    const folder = join(folders.make(), 'export')
    const aborted = AbortSignal.abort()
    await expect(exportShop(shop, folder, aborted)).rejects.toThrow()
    expect([existsSync(folder), existsSync(`${folder}.part`)]).toEqual([false, false])
    mkdirSync(folder)
    writeFileSync(join(folder, 'mine'), 'x')
    await expect(exportShop(shop, folder)).rejects.toThrow(/is not empty/)
    rmSync(join(folder, 'mine'))
    await exportShop(shop, folder)
    expect(readdirSync(folder).sort()).toEqual([...SHOP_FILES, MANIFEST_FILE].sort())
    expect([statSync(folder).mode & 0o77, statSync(join(folder, 'settings.yaml')).mode & 0o77]).toEqual([
      0, 0,
    ])
    await expect(exportReadings(shop, join(folder, 'settings.yaml'), {})).rejects.toThrow(/is there already/)
  })

  it('EXPORT-4 what stands under the name that it would grow in stays, and is named', async () => {
    const from = folders.make()
    makeShop(from)
    const shop = createSqliteShopReader({ db: openSnapshot(from) })
    opened.push(shop)
    const place = folders.make()
    mkdirSync(join(place, 'out.part'))
    writeFileSync(join(place, 'out.part', 'mine'), 'x')
    writeFileSync(join(place, 'some.csv.part'), 'y')
    await expect(exportShop(shop, join(place, 'out'))).rejects.toThrow(/out\.part is there already/)
    await expect(exportReadings(shop, join(place, 'some.csv'), {})).rejects.toThrow(
      /remove it, or name another/,
    )
    expect(readFileSync(join(place, 'out.part', 'mine'), 'utf8')).toBe('x')
    expect(readFileSync(join(place, 'some.csv.part'), 'utf8')).toBe('y')
  })

  it('EXPORT-1 an export that was broken off leaves nothing, and nothing comes after it', async () => {
    const place = folders.make()
    for (let n = 0; n < 30; n++) {
      const path = join(place, `lines-${n}`)
      const lines = { heading: null, lines: ['a', 'b'], lineEnd: '\n' }
      await expect(writeLines(path, lines, AbortSignal.abort())).rejects.toThrow()
      rmSync(path, { force: true })
    }
    await new Promise((resolve) => setImmediate(resolve))
    expect(readdirSync(place)).toEqual([])
  })

  it('EXPORT-3 no secret is in it, and it says what is not', async () => {
    const from = folders.make()
    makeShop(from)
    const folder = await writeOut(from)
    const all = readdirSync(folder)
      .map((name) => readFileSync(join(folder, name)))
      .map((file) => (file[0] === 0x1f ? gunzipSync(file) : file).toString('utf8'))
      .join('\n')
    expect(all).not.toMatch(/a-key-in-its-path|webhookUrl/)
    expect(all).toMatch(/passwords, secrets of nodes and programs/)
    expect(all).toContain('Quayside Film & Print')
  })

  it('readings of one sensor and a stretch of time are a file that can be brought in', async () => {
    const from = folders.make()
    makeShop(from)
    const shop = createSqliteShopReader({ db: openSnapshot(from) })
    opened.push(shop)
    const path = join(folders.make(), 'some.csv')
    const { rows, sha256 } = await exportReadings(shop, path, {
      sensorId: 'attic/damp',
      fromMs: NOW - 40 * DAY,
      toMs: NOW - 30 * DAY,
    })
    const text = readFileSync(path, 'utf8')
    expect(text.split('\r\n')).toHaveLength(rows + 2)
    expect(rows).toBe(20)
    expect(createHash('sha256').update(text).digest('hex')).toBe(sha256)
  })

  it('a folder that is not whole, was changed, or is of a newer release is refused before anything is taken in', async () => {
    const from = folders.make()
    makeShop(from)
    const sound = await writeOut(from)
    const broken = (change: (folder: string) => void): string => {
      const folder = join(folders.make(), 'copy')
      cpSync(sound, folder, { recursive: true })
      change(folder)
      return folder
    }
    const manifest = (folder: string, to: (text: string) => string): void =>
      writeFileSync(join(folder, MANIFEST_FILE), to(readFileSync(join(folder, MANIFEST_FILE), 'utf8')))
    for (const [change, words] of [
      [(f: string) => rmSync(join(f, MANIFEST_FILE)), /has no manifest.json/],
      [(f: string) => rmSync(join(f, 'minutes.csv.gz')), /minutes.csv.gz is missing/],
      [
        (f: string) => appendFileSync(join(f, 'logbook.jsonl'), '{}\n'),
        /logbook.jsonl is not as it was exported/,
      ],
      [(f: string) => manifest(f, (t) => t.replace('"version": 1', '"version": 2')), /newer Nightcap/],
      [(f: string) => manifest(f, (t) => t.replace('settings.yaml', '../../etc/passwd')), /is no manifest/],
      [(f: string) => manifest(f, () => 'hello'), /is no manifest/],
    ] as const)
      await expect(checkShopFolder(broken(change))).rejects.toThrow(words)
  })
})
