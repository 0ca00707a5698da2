import { readFileSync } from 'node:fs'
import { afterAll, describe, expect, it, type TestContext } from 'vitest'
import { createInfluxReader } from '../../services/adapters/history-influx/create-influx-reader.ts'
import { createInfluxWriter } from '../../services/adapters/history-influx/create-influx-writer.ts'
import { createSqliteBookOfRecord } from '../../services/adapters/records-sqlite/create-book-of-record.ts'
import { createSqliteHistoryReader } from '../../services/adapters/records-sqlite/create-history-reader.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import type { HistoryReader } from '../../services/core/model/ports/history.ts'
import { createInfluxPlaces } from '../parts/influx-places.ts'
import type { InfluxPlace } from '../parts/influx.ts'
import { createMemoryHistory } from '../parts/memory-history-reader.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'
import { rulesIn } from './contract.ts'
import { historyReaderContract, SITE, type ReadHistory } from './history-reader.contract.ts'

const places = createInfluxPlaces()
const folders = createTemporaryFolders()
const closing: (() => unknown)[] = []
afterAll(async () => {
  closing.forEach((close) => close())
  folders.removeAll()
  await places.close()
})

async function sqliteHistory(): Promise<ReadHistory> {
  const db = openDatabase({ dataDir: folders.make() })
  closing.push(() => db.close())
  const book = createSqliteBookOfRecord({ db })
  return {
    reader: createSqliteHistoryReader({ db }),
    write: async (placed) =>
      book.transaction(() => {
        const readings = placed.map(({ sensorId, quantity, atMs, value }) => ({
          sensorId,
          quantity,
          atMs,
          value,
        }))
        const stamp = { atMs: 0, receivedMs: 0, nodeId: 'room-a' }
        book.appendInput({ type: 'readings', ...stamp, seq: book.lastSeq() + 1, readings })
      }),
    cut: null,
  }
}

function influxHistory(place: InfluxPlace, cut: ReadHistory['cut']): ReadHistory {
  return {
    reader: createInfluxReader({ ...place, timeoutMs: 20_000 }, () => SITE),
    write: createInfluxWriter({ ...place, timeoutMs: 20_000 }).write,
    cut,
  }
}

async function localHistory(context: TestContext): Promise<ReadHistory> {
  const store = await places.local(context)
  return influxHistory(store, (away) => (away ? store.stop() : store.start()))
}

describe.each([
  ['memory', async () => createMemoryHistory()],
  ['SQLite', sqliteHistory],
  ['InfluxDB 1.6 of Debian', localHistory],
  [
    'InfluxDB 2 in a container',
    async (context: TestContext) => influxHistory(await places.container(context), null),
  ],
  ['InfluxDB at an address', async (context: TestContext) => influxHistory(places.remote(context), null)],
] as const)('a history reader of %s', (_, open) => {
  it.for(historyReaderContract)('$rule $name', { timeout: 120_000 }, async ({ check }, context) => {
    await check(await open(context))
  })
})

/** Readers that each break one promise. */
const broken: Readonly<Record<string, { rule: string; breakIt: (good: HistoryReader) => HistoryReader }>> = {
  'takes the first value of a bucket for its last': {
    rule: 'HR-1',
    breakIt: (good) => ({
      ...good,
      series: async (query) => (await good.series(query)).map((p) => ({ ...p, last: p.min })),
    }),
  },
  'holds the end of the window too': {
    rule: 'HR-1',
    breakIt: (good) => ({ ...good, series: (query) => good.series({ ...query, toMs: query.toMs + 1 }) }),
  },
  'gives the first ten thousand and says nothing': {
    rule: 'HR-1',
    breakIt: (good) => ({ ...good, series: async (query) => (await good.series(query)).slice(0, 10_000) }),
  },
  'rounds values': {
    rule: 'HR-1',
    breakIt: (good) => ({
      ...good,
      series: async (query) =>
        (await good.series(query)).map((p) => ({ ...p, last: Number(p.last.toPrecision(12)) })),
    }),
  },
  'begins buckets where the window begins': {
    rule: 'HR-2',
    breakIt: (good) => ({
      ...good,
      series: async (query) =>
        (await good.series(query)).map((p) => ({ ...p, atMs: p.atMs + (query.fromMs % query.bucketMs) })),
    }),
  },
  'fills gaps with nothing': {
    rule: 'HR-2',
    breakIt: (good) => ({
      ...good,
      series: async (query) => {
        const points = await good.series(query)
        return points.length > 0 ? points : [{ atMs: 0, min: 0, mean: 0, max: 0, last: 0 }]
      },
    }),
  },
  'counts from the start of the bucket': {
    rule: 'HR-3',
    breakIt: (good) => ({
      ...good,
      totals: (query) => good.totals({ ...query, fromMs: Math.floor(query.fromMs / 60_000) * 60_000 }),
    }),
  },
  'tells an empty window as zero': {
    rule: 'HR-3',
    breakIt: (good) => ({
      ...good,
      totals: async (query) => (await good.totals(query)) ?? { count: 0, sum: 0, firstMs: 0, lastMs: 0 },
    }),
  },
  'mixes quantities': {
    rule: 'HR-4',
    breakIt: (good) => ({
      ...good,
      totals: async (query) =>
        (await good.totals(query)) ?? (await good.totals({ ...query, quantity: 'humidity' })),
    }),
  },
  'answers any question': {
    rule: 'HR-5',
    breakIt: (good) => ({ ...good, series: (query) => good.series(query).catch(() => []) }),
  },
  'tells an absent store as an empty one': {
    rule: 'HR-6',
    breakIt: (good) => ({ ...good, totals: (query) => good.totals(query).catch(() => null) }),
  },
}

describe('the contract bites', () => {
  it.each(Object.entries(broken))('a reader that %s is found out', async (_, { rule, breakIt }) => {
    const failed = await Promise.all(
      historyReaderContract
        .filter((c) => c.rule === rule)
        .map(({ check }) => {
          const good = createMemoryHistory()
          return check({ ...good, reader: breakIt(good.reader) }).then(
            () => false,
            () => true,
          )
        }),
    )
    expect(failed).toContain(true)
  })
  it('every rule of the port has a case', () => {
    const port = readFileSync('services/core/model/ports/history.ts', 'utf8')
    expect([...new Set(historyReaderContract.map((c) => c.rule))].sort()).toEqual(rulesIn(port, 'HR'))
  })
})
