import type { Database } from 'better-sqlite3'
import { statSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, describe, expect, it } from 'vitest'
import { createSqliteBookOfRecord } from '../../services/adapters/records-sqlite/create-book-of-record.ts'
import { createSqliteNoticeStore } from '../../services/adapters/records-sqlite/create-notice-store.ts'
import { createSqlitePruner } from '../../services/adapters/records-sqlite/create-pruner.ts'
import { createSqliteRecordsReader } from '../../services/adapters/records-sqlite/create-records-reader.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import { DATABASE_FILE } from '../../services/adapters/records-sqlite/take-place.ts'
import { kernelToJson } from '../../services/core/kernel/state.ts'
import type { JudgedMessage } from '../../services/core/model/ports/ingest.ts'
import { createEngine } from '../../services/monitor/engine.ts'
import { createKernelKeeper } from '../../services/monitor/kernel-keeper.ts'
import { createLog } from '../../services/monitor/log.ts'
import { KEPT_MS, pruneOld } from '../../services/monitor/prune-old.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'

const folders = createTemporaryFolders()
const opened: Database[] = []
afterEach(() => {
  opened.splice(0).forEach((db) => db.close())
  folders.removeAll()
})

const [EVERY_MS, DAY] = [120_000, 86_400_000]
const PACKS_A_DAY = DAY / EVERY_MS
const START = Date.parse('2026-03-02T06:00:00Z')
/** Everything is kept for two days, so that a fortnight shows what years would. */
const TWO_DAYS = Object.fromEntries(Object.keys(KEPT_MS).map((kind) => [kind, 2 * DAY])) as typeof KEPT_MS

/** A real engine on a real file, with a clock moved by hand. */
async function shop(dataDir: string) {
  const db = openDatabase({ dataDir })
  opened.push(db)
  const book = createSqliteBookOfRecord({ db })
  const reader = createSqliteRecordsReader({ db })
  const log = createLog({ level: 'info', to: { write: (line) => void lines.push(line) } })
  const lines: string[] = []
  let [nowMs, doubt]: [number, string | null] = [Math.max(START, book.lastAliveMs() ?? 0), null]
  const clock = { nowMs: () => nowMs, realMs: (ms: number) => ms, doubt: () => doubt }
  const engine = createEngine({ book, clock, log })
  const message = (): JudgedMessage => ({
    receivedMs: nowMs,
    readings: {
      nodeId: 'bench',
      pack: null,
      readings: ['humidity', 'temperature'].map((q, i) => ({
        sensorId: `bench/${q}`,
        quantity: q as 'humidity' | 'temperature',
        atMs: nowMs,
        value: [45, 21][i] ?? 0,
      })),
      intervalMsOf: new Map(),
    },
    status: null,
    rejections: [],
  })
  return {
    db,
    book,
    reader,
    engine,
    lines,
    setClock: (change: { nowMs?: number; doubt?: string | null }) => {
      nowMs = change.nowMs ?? nowMs
      doubt = change.doubt === undefined ? doubt : change.doubt
    },
    nowMs: () => nowMs,
    live: async (days: number) => {
      const endMs = nowMs + days * DAY
      while (nowMs < endMs) {
        // An hour in one commit: what is measured here is what is kept, not how fast.
        const offered = Array.from({ length: 30 }, () => {
          nowMs += EVERY_MS
          return engine.offer(message())
        })
        await Promise.all(offered)
        await engine.tick()
      }
    },
    prune: (awaited = false) =>
      pruneOld({
        awaited: () => awaited,
        book,
        reader,
        clock,
        log,
        pruner: createSqlitePruner({ db }),
        notices: createSqliteNoticeStore({ db }),
        keptMs: TWO_DAYS,
      }),
    count: (table: string): number => db.prepare(`SELECT count(*) FROM ${table}`).pluck().get() as number,
    /** Of the file, without the records of minutes, hours and days, which stay for good. */
    bytes: () => {
      db.pragma('wal_checkpoint(TRUNCATE)')
      const forGood = db
        .prepare("SELECT sum(pgsize) FROM dbstat WHERE name = 'rollup'")
        .pluck()
        .get() as number
      return statSync(join(dataDir, DATABASE_FILE)).size - forGood
    },
  }
}

describe('a monitor that runs for long', { timeout: 120_000 }, () => {
  it('PRUNE-4 readings that a second store still waits for stay, with their packs', async () => {
    const one = await shop(folders.make())
    await one.live(4)
    const before = [one.count('reading'), one.count("input WHERE type = 'readings'")]
    await one.prune(true)
    expect([one.count('reading'), one.count("input WHERE type = 'readings'")]).toEqual(before)
    await one.prune()
    expect(one.count('reading')).toBeLessThan(before[0] ?? 0)
    expect(one.count("input WHERE type = 'readings'")).toBeLessThan(before[1] ?? 0)
  })

  it('PRUNE-1, PRUNE-3 keeps what its age allows, goes on from its snapshot, and its file stops growing', async () => {
    const dataDir = folders.make()
    const one = await shop(dataDir)
    await one.engine.submit({
      type: 'settings',
      act: { actorId: 'ana', via: 'screen', atMs: START },
      settings: testSettings(),
    })
    const bytes: number[] = []
    for (let day = 0; day < 9; day++) {
      await one.live(1)
      await one.prune()
      bytes.push(one.bytes())
    }
    // Two days of packs and of their readings, and not nine; settings are still there.
    expect(one.count('reading')).toBeLessThan(2.3 * 2 * PACKS_A_DAY)
    expect(one.count("input WHERE type = 'readings'")).toBeLessThan(2.6 * PACKS_A_DAY)
    expect(one.count("input WHERE type = 'settings'")).toBe(2)
    // What was freed is used again: the file is as large after nine days as it was after five.
    expect((bytes[8] ?? 0) / (bytes[4] ?? 1)).toBeLessThan(1.05)
    expect((bytes[4] ?? 0) / (bytes[0] ?? 1)).toBeGreaterThan(1.2)
    expect(
      one.lines.filter((line) => line.includes('what had grown too old was thrown away')).length,
    ).toBeGreaterThan(3)

    const state = kernelToJson(one.engine.state())
    one.db.close()
    opened.splice(0)
    const again = await shop(dataDir)
    expect(kernelToJson(createKernelKeeper(again.book).state())).toBe(state)
    await again.live(0.1)
    expect(again.reader.counts().readings).toBe(again.count('reading'))
  })

  it('PRUNE-2 a clock in doubt, or one that says a year more than the newest reading, costs nothing of the past', async () => {
    const one = await shop(folders.make())
    await one.live(1)
    const held = { readings: one.count('reading'), inputs: one.count('input') }
    one.setClock({ nowMs: one.nowMs() + 365 * DAY, doubt: 'the clock leapt ahead' })
    await one.prune()
    one.setClock({ doubt: null })
    await one.prune()
    expect({ readings: one.count('reading'), inputs: one.count('input') }).toEqual(held)
  })
})
