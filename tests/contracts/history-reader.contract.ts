import { expect } from 'vitest'
import {
  HistoryQueryError,
  HistoryUnreachableError,
  MOST_BUCKETS,
  type HistoryReader,
  type PlacedReading,
} from '../../services/core/model/ports/history.ts'
import type { SeriesPoint } from '../../services/core/model/ports/records.ts'

/** A reader, and a way to put readings where it reads. */
export interface ReadHistory {
  readonly reader: HistoryReader
  readonly write: (readings: readonly PlacedReading[]) => Promise<void>
  /** Makes the store unreachable, and reachable again; null where nobody here can. */
  readonly cut: ((away: boolean) => Promise<void>) | null
}

export interface ReaderCase {
  readonly rule: string
  readonly name: string
  readonly check: (history: ReadHistory) => Promise<void>
}

export const SITE = 'quayside'
const T0 = Date.UTC(2026, 4, 4, 6)
const MINUTE = 60_000
let made = 0
/** A sensor that no other case wrote to, since a remote store cannot be emptied. */
const freshSensor = (): string => `room-a/humidity-${process.pid}-${++made}`

type At = readonly [atMs: number, value: number]
function placed(sensorId: string, at: readonly At[], change: Partial<PlacedReading> = {}): PlacedReading[] {
  return at.map(([atMs, value]) => ({
    sensorId,
    quantity: 'humidity',
    atMs,
    value,
    siteId: SITE,
    nodeId: 'room-a',
    subject: { kind: 'room', id: 'room-a' },
    roomId: 'room-a',
    ...change,
  }))
}

/** What the rule says, in the plainest way. */
export function plainSeries(
  at: readonly At[],
  { fromMs, toMs, bucketMs }: { fromMs: number; toMs: number; bucketMs: number },
): SeriesPoint[] {
  const buckets = new Map<number, number[]>()
  for (const [atMs, value] of [...at].sort((a, b) => a[0] - b[0])) {
    if (atMs < fromMs || atMs >= toMs) continue
    const start = Math.floor(atMs / bucketMs) * bucketMs
    buckets.set(start, [...(buckets.get(start) ?? []), value])
  }
  return [...buckets].map(([atMs, values]) => ({
    atMs,
    min: Math.min(...values),
    mean: values.reduce((a, b) => a + b, 0) / values.length,
    max: Math.max(...values),
    last: values.at(-1) ?? NaN,
  }))
}

function expectPoints(got: readonly SeriesPoint[], wanted: readonly SeriesPoint[]): void {
  const sharp = (points: readonly SeriesPoint[]) =>
    points.map(({ atMs, min, max, last }) => [atMs, min, max, last])
  expect(sharp(got)).toEqual(sharp(wanted))
  const off = got.map((point, i) => Math.abs(point.mean - (wanted[i]?.mean ?? NaN)))
  expect(off.every((by) => by < 1e-9)).toBe(true)
}

const ofBuckets: readonly ReaderCase[] = [
  {
    rule: 'HR-1',
    name: 'min, mean, max and last of each bucket, whatever the order of writing; the window holds its start and not its end',
    check: async ({ reader, write }) => {
      const sensorId = freshSensor()
      const at: At[] = [5, 59_999, 60_000, 61_000, 0, 30_000, 119_999, 180_000].map((ms, i) => [
        T0 + ms,
        40 + i / 8,
      ])
      await write(placed(sensorId, at))
      for (const bucketMs of [1_000, MINUTE, 10 * MINUTE]) {
        const window = { fromMs: T0 + 5, toMs: T0 + 180_000, bucketMs }
        expectPoints(
          await reader.series({ sensorId, quantity: 'humidity', ...window }),
          plainSeries(at, window),
        )
      }
    },
  },
  {
    rule: 'HR-1',
    name: 'more buckets than a store gives at once come whole and once',
    check: async ({ reader, write }) => {
      const sensorId = freshSensor()
      const at = Array.from({ length: 23_456 }, (_, n): At => [T0 + n * 1_000, (n % 97) / 8])
      for (let from = 0; from < at.length; from += 5_000)
        await write(placed(sensorId, at.slice(from, from + 5_000)))
      const window = { fromMs: T0 + 500, toMs: T0 + at.length * 1_000, bucketMs: 1_000 }
      expectPoints(
        await reader.series({ sensorId, quantity: 'humidity', ...window }),
        plainSeries(at, window),
      )
    },
  },
  {
    rule: 'HR-1',
    name: 'numbers of every size come back as they were written',
    check: async ({ reader, write }) => {
      const sensorId = freshSensor()
      const at: At[] = [-1.5e-9, 1e15, 0.1 + 0.2, -0.001, 5e-324].map((value, n) => [T0 + n * 1_000, value])
      await write(placed(sensorId, at))
      const points = await reader.series({
        sensorId,
        quantity: 'humidity',
        fromMs: T0,
        toMs: T0 + MINUTE,
        bucketMs: 1_000,
      })
      expect(points.map((p) => p.last)).toEqual(at.map(([, value]) => value))
    },
  },
  {
    rule: 'HR-2',
    name: 'buckets begin at multiples of their width, before 1970 too, and a gap stays a gap',
    check: async ({ reader, write }) => {
      const sensorId = freshSensor()
      const at: At[] = [-15_001, -15_000, -1, 0, 7_000, 7 * MINUTE].map((ms, n) => [ms, n])
      await write(placed(sensorId, at))
      for (const bucketMs of [7_000, 15_000, MINUTE]) {
        const window = { fromMs: -MINUTE + 1, toMs: 10 * MINUTE, bucketMs }
        expectPoints(
          await reader.series({ sensorId, quantity: 'humidity', ...window }),
          plainSeries(at, window),
        )
      }
    },
  },
  {
    rule: 'HR-2',
    name: 'nothing in the window is no bucket, even from one end of time to the other',
    check: async ({ reader, write }) => {
      const sensorId = freshSensor()
      const query = { sensorId, quantity: 'humidity' as const, bucketMs: 365 * 86_400_000 }
      await write(placed(sensorId, [[T0, 1]]))
      expect(await reader.series({ ...query, fromMs: T0 + 1, toMs: T0 + 2 })).toEqual([])
      const all = await reader.series({ ...query, fromMs: 0, toMs: 2e14 })
      expect(all.map((p) => p.last)).toEqual([1])
    },
  },
]

const ofTotals: readonly ReaderCase[] = [
  {
    rule: 'HR-3',
    name: 'count, sum, first and last of the window alone; null where it holds nothing',
    check: async ({ reader, write }) => {
      const sensorId = freshSensor()
      const at = Array.from({ length: 4_000 }, (_, n): At => [T0 + n * 61_000, (n % 31) / 4])
      await write(placed(sensorId, at))
      const query = { sensorId, quantity: 'humidity' as const }
      for (const [fromMs, toMs] of [
        [T0, T0 + 4_000 * 61_000],
        [T0 + 1, T0 + 61_000],
        [T0 + 61_000, T0 + 61_001],
        [T0 + 90_000, T0 + 2 * 86_400_000 + 17],
      ] as const) {
        const inside = at.filter(([atMs]) => atMs >= fromMs && atMs < toMs)
        const totals = await reader.totals({ ...query, fromMs, toMs })
        if (inside.length === 0) expect(totals).toBeNull()
        else {
          expect(totals).toMatchObject({
            count: inside.length,
            firstMs: inside[0]?.[0],
            lastMs: inside.at(-1)?.[0],
          })
          expect(totals?.sum).toBeCloseTo(
            inside.reduce((sum, [, value]) => sum + value, 0),
            6,
          )
        }
      }
    },
  },
]

/** Names that would say something else if a store took them for part of the question. */
const HOSTILE = [
  `x' OR 'a'='a`,
  `x\\' OR 1=1 --`,
  `x\\`,
  `'; DROP SERIES FROM humidity; --`,
  `x" OR "sensor"='`,
  '$sensor',
  '/.*/',
  'ü ✓ %27',
]

const ofNames: readonly ReaderCase[] = [
  {
    rule: 'HR-4',
    name: 'another sensor, quantity or site is never mixed in',
    check: async ({ reader, write }) => {
      const sensorId = freshSensor()
      await write([
        ...placed(sensorId, [[T0, 1]]),
        ...placed(sensorId, [[T0 + 1, 2]], { quantity: 'temperature' }),
        ...placed(`${sensorId}0`, [[T0 + 2, 4]]),
      ])
      const query = { sensorId, fromMs: T0 - 1, toMs: T0 + 9 }
      expect(await reader.totals({ ...query, quantity: 'humidity' })).toMatchObject({ count: 1, sum: 1 })
      expect(await reader.totals({ ...query, quantity: 'temperature' })).toMatchObject({ count: 1, sum: 2 })
      expect(await reader.totals({ ...query, quantity: 'power' })).toBeNull()
    },
  },
  {
    rule: 'HR-4',
    name: 'a sensor that moved to another room is one series still',
    check: async ({ reader, write }) => {
      const sensorId = freshSensor()
      await write([
        ...placed(sensorId, [[T0, 1]]),
        ...placed(sensorId, [[T0 + 1_000, 3]], { subject: null, roomId: null }),
      ])
      const query = { sensorId, quantity: 'humidity' as const, fromMs: T0, toMs: T0 + MINUTE }
      expectPoints(await reader.series({ ...query, bucketMs: MINUTE }), [
        { atMs: T0, min: 1, mean: 2, max: 3, last: 3 },
      ])
      expect(await reader.totals(query)).toEqual({ count: 2, sum: 4, firstMs: T0, lastMs: T0 + 1_000 })
    },
  },
  {
    rule: 'HR-4',
    name: 'a hostile name asks for itself, finds nothing else, and harms nothing',
    check: async ({ reader, write }) => {
      const sensorId = freshSensor()
      await write(placed(sensorId, [[T0, 1]]))
      const window = { quantity: 'humidity' as const, fromMs: 0, toMs: T0 * 2 }
      for (const name of HOSTILE) {
        expect(await reader.totals({ ...window, sensorId: name })).toBeNull()
        expect(await reader.series({ ...window, sensorId: name, bucketMs: T0 })).toEqual([])
      }
      expect(await reader.totals({ ...window, sensorId })).toMatchObject({ count: 1 })
    },
  },
]

const query = { sensorId: 'room-a/humidity', quantity: 'humidity' as const, fromMs: 0, toMs: 10, bucketMs: 1 }
const ofTrouble: readonly ReaderCase[] = [
  {
    rule: 'HR-5',
    name: 'a question that cannot be answered is refused, naming the field',
    check: async ({ reader }) => {
      for (const [change, words] of [
        [{ fromMs: NaN }, /fromMs, toMs: give whole/],
        [{ toMs: Infinity }, /fromMs, toMs: give whole/],
        [{ toMs: 0 }, /toMs: must be later/],
        [{ bucketMs: 0 }, /bucketMs: give whole/],
        [{ bucketMs: NaN }, /bucketMs: give whole/],
        [{ bucketMs: 1.5 }, /bucketMs: give whole/],
        [{ toMs: MOST_BUCKETS + 1 }, /bucketMs: more than/],
      ] as const) {
        const error: unknown = await reader.series({ ...query, ...change }).catch((e: unknown) => e)
        expect(error).toBeInstanceOf(HistoryQueryError)
        expect((error as Error).message).toMatch(words)
      }
      await expect(reader.totals({ ...query, toMs: -1 })).rejects.toBeInstanceOf(HistoryQueryError)
    },
  },
  {
    rule: 'HR-6',
    name: 'an absent store says so in words, and answers when it is back',
    check: async ({ reader, write, cut }) => {
      if (!cut) return
      const sensorId = freshSensor()
      await write(placed(sensorId, [[T0, 1]]))
      const asked = { sensorId, quantity: 'humidity' as const, fromMs: T0, toMs: T0 + 1 }
      await cut(true)
      const errors = [
        await reader.totals(asked).catch((e: unknown) => e),
        await reader.series({ ...asked, bucketMs: 1 }).catch((e: unknown) => e),
      ]
      await cut(false)
      for (const error of errors) {
        expect(error).toBeInstanceOf(HistoryUnreachableError)
        expect((error as Error).message).toMatch(/reached|answer/)
      }
      expect(await reader.totals(asked)).toMatchObject({ count: 1 })
    },
  },
]

export const historyReaderContract: readonly ReaderCase[] = [
  ...ofBuckets,
  ...ofTotals,
  ...ofNames,
  ...ofTrouble,
]
