import type { Database } from 'better-sqlite3'
import { afterEach, describe, expect, it } from 'vitest'
import { createSystemClock } from '../../services/adapters/clock/system-clock.ts'
import { createSqliteBookOfRecord } from '../../services/adapters/records-sqlite/create-book-of-record.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import type { JudgedMessage } from '../../services/core/model/ports/ingest.ts'
import { createEngine } from '../../services/monitor/engine.ts'
import { createQuietLog } from '../parts/quiet-log.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'

const folders = createTemporaryFolders()
const opened: Database[] = []
afterEach(() => {
  opened.splice(0).forEach((db) => db.close())
  folders.removeAll()
})

const MIN = 60_000
const HOUR = 60 * MIN
const YEAR = 365 * 24 * HOUR
const START = Date.parse('2026-11-24T18:00:00Z')
const settings = testSettings({
  machines: [],
  bottles: [],
  sensors: [
    { id: 'bench/humidity', quantity: 'humidity', subject: { kind: 'room', id: 'floor' }, intervalMs: MIN },
  ],
})

/** How far the computer's clock is off in each minute of eight hours; the node's clock is right all the time. */
async function night(
  offMs: (minute: number) => number,
): Promise<{ dry: unknown; times: readonly number[]; doubts: readonly (string | null)[]; readings: number }> {
  const db = openDatabase({ dataDir: folders.make() })
  opened.push(db)
  const book = createSqliteBookOfRecord({ db })
  let minute = 0
  const trueMs = (): number => START + minute * MIN
  const clock = createSystemClock({ wallMs: () => trueMs() + offMs(minute), countMs: () => minute * MIN })
  const engine = createEngine({ book, clock, log: createQuietLog() })
  await engine.submit({ type: 'settings', act: { actorId: 'ana', via: 'screen', atMs: START }, settings })
  const message = (): JudgedMessage => ({
    receivedMs: clock.nowMs(),
    readings: {
      nodeId: 'bench',
      pack: null,
      readings: [
        {
          sensorId: 'bench/humidity',
          quantity: 'humidity',
          atMs: trueMs(),
          value: minute >= 120 && minute < 240 ? 33 : 50,
        },
      ],
      intervalMsOf: new Map(),
    },
    status: null,
    rejections: [],
  })
  const [times, doubts]: [number[], (string | null)[]] = [[], []]
  for (minute = 1; minute <= 480; minute++) {
    await engine.offer(message())
    await engine.tick()
    times.push(clock.nowMs())
    doubts.push(clock.doubt?.() ?? null)
  }
  const dry = book.history
    .episodesTouchedAfter({ subjectKey: 'room:floor', afterMs: 0 })
    .filter((e) => e.condition === 'airDry')
    .map((e) => [e.fromMs, e.toMs])
  return {
    dry,
    times,
    doubts,
    readings: book.history.readingsAfter({ sensorIds: ['bench/humidity'], afterMs: 0 }).length,
  }
}
const between = (from: number, to: number, offMs: number) => (minute: number) =>
  minute >= from && minute < to ? offMs : 0

describe("the computer's clock is turned while the monitor runs", { timeout: 120_000 }, () => {
  it.each([
    ['an hour ahead and back', between(100, 130, HOUR)],
    ['an hour ahead for good', between(100, 999, HOUR)],
    ['a year ahead and back', between(100, 200, YEAR)],
    ['a year ahead for good', between(100, 999, YEAR)],
    ['an hour back and ahead', between(100, 130, -HOUR)],
    ['a year back and ahead', between(100, 130, -YEAR)],
  ])(
    'CLOCK-6 by %s: no reading is lost, what was dry has its true times, and its time never goes back',
    async (_, offMs) => {
      const calm = await night(() => 0)
      expect(calm.dry).toEqual([[START + 120 * MIN, START + 240 * MIN]])
      const turned = await night(offMs)
      expect([turned.dry, turned.readings]).toEqual([calm.dry, 480])
      expect(turned.times.every((t, i) => i === 0 || t >= (turned.times[i - 1] ?? 0))).toBe(true)
      // A step ahead of an hour is believed; all else is told.
      const toldAtAll = turned.doubts.some((doubt) => doubt !== null)
      expect(toldAtAll).toBe(offMs(998) !== HOUR)
    },
  )
})
