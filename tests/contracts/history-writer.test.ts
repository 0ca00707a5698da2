import { readFileSync } from 'node:fs'
import { afterAll, describe, expect, it, type TestContext } from 'vitest'
import { createInfluxWriter } from '../../services/adapters/history-influx/create-influx-writer.ts'
import type { HistoryWriter, PlacedReading } from '../../services/core/model/ports/history.ts'
import { createInfluxPlaces } from '../parts/influx-places.ts'
import { influxRows, type InfluxPlace } from '../parts/influx.ts'
import { rulesIn } from './contract.ts'
import { historyWriterContract, type WrittenHistory } from './history-writer.contract.ts'

/** A store in memory: what the contract asks, and nothing more. */
function memoryHistory(): WrittenHistory {
  const store = new Map<string, PlacedReading>()
  let away = false
  return {
    writer: {
      write: async (readings) => {
        if (away) throw new Error('the store is away')
        for (const r of readings) store.set(`${r.sensorId}|${r.quantity}|${r.atMs}`, r)
      },
    },
    held: async (sensorId) =>
      [...store.values()]
        .filter((r) => r.sensorId === sensorId)
        .sort((a, b) => a.atMs - b.atMs)
        .map((r) => [r.atMs, r.value] as const),
    cut: async (next) => void (away = next),
  }
}

function writtenTo(place: InfluxPlace, cut: WrittenHistory['cut']): WrittenHistory {
  return {
    writer: createInfluxWriter({ ...place, timeoutMs: 5_000 }),
    held: async (sensorId) => {
      const found = await influxRows(place, `SELECT value FROM humidity WHERE sensor = '${sensorId}'`)
      return found.map(([atMs, value]) => [Number(atMs), Number(value)] as const)
    },
    cut,
  }
}

const places = createInfluxPlaces()
afterAll(() => places.close())

async function localHistory(context: TestContext): Promise<WrittenHistory> {
  const store = await places.local(context)
  return writtenTo(store, (away) => (away ? store.stop() : store.start()))
}

describe.each([
  ['in memory', async () => memoryHistory()],
  ['InfluxDB 1.6 of Debian', localHistory],
  [
    'InfluxDB 2 in a container',
    async (context: TestContext) => writtenTo(await places.container(context), null),
  ],
  ['InfluxDB at an address', async (context: TestContext) => writtenTo(places.remote(context), null)],
] as const)('a history writer to %s', (_, open) => {
  it.for(historyWriterContract)('$rule $name', { timeout: 120_000 }, async ({ check }, context) => {
    await check(await open(context))
  })
})

/** Writers that each break one promise. */
const broken: Readonly<Record<string, { rule: string; breakIt: (good: HistoryWriter) => HistoryWriter }>> = {
  'resolves before it has written': {
    rule: 'HW-1',
    breakIt: ({ write }) => ({ write: async (readings) => void setTimeout(() => void write(readings), 50) }),
  },
  'drops what does not fit a batch': {
    rule: 'HW-1',
    breakIt: ({ write }) => ({ write: (readings) => write(readings.slice(0, 5_000)) }),
  },
  'rounds values': {
    rule: 'HW-1',
    breakIt: ({ write }) => ({
      write: (readings) => write(readings.map((r) => ({ ...r, value: Math.round(r.value) }))),
    }),
  },
  'doubles what comes again': {
    rule: 'HW-2',
    breakIt: ({ write }) => {
      let calls = 0
      return { write: (readings) => write(readings.map((r) => ({ ...r, atMs: r.atMs + calls++ }))) }
    },
  },
  'swallows a failure': {
    rule: 'HW-3',
    breakIt: ({ write }) => ({ write: (readings) => write(readings).catch(() => undefined) }),
  },
}

describe('the contract bites', () => {
  it.each(Object.entries(broken))('a writer that %s is found out', async (_, { rule, breakIt }) => {
    const failed = await Promise.all(
      historyWriterContract
        .filter((c) => c.rule === rule)
        .map(({ check }) => {
          const good = memoryHistory()
          return check({ ...good, writer: breakIt(good.writer) }).then(
            () => false,
            () => true,
          )
        }),
    )
    expect(failed).toContain(true)
  })
  it('every rule of the port has a case', () => {
    const port = readFileSync('services/core/model/ports/history.ts', 'utf8')
    expect([...new Set(historyWriterContract.map((c) => c.rule))].sort()).toEqual(rulesIn(port, 'HW'))
  })
})
