import { readFileSync } from 'node:fs'
import { GenericContainer, Wait, type StartedTestContainer } from 'testcontainers'
import { afterAll, describe, expect, it, type TestContext } from 'vitest'
import { createInfluxWriter } from '../../services/adapters/history-influx/create-influx-writer.ts'
import type { HistoryWriter, PlacedReading } from '../../services/core/model/ports/history.ts'
import { requireProgram, skipBecause } from '../parts/host.ts'
import { influxRows, startInflux, type InfluxPlace, type LocalInflux } from '../parts/influx.ts'
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

let local: LocalInflux | null = null
async function localHistory(context: TestContext): Promise<WrittenHistory> {
  requireProgram(context, 'influxd')
  const store = (local ??= await startInflux())
  return writtenTo(store, (away) => (away ? store.stop() : store.start()))
}

const CONTAINER = { org: 'shop', bucket: 'nightcap', token: 'a-token-of-this-test-alone' }
let container: Promise<StartedTestContainer> | null = null
async function containerHistory(context: TestContext): Promise<WrittenHistory> {
  container ??= new GenericContainer('influxdb:2.7.12')
    .withExposedPorts(8086)
    .withEnvironment({
      DOCKER_INFLUXDB_INIT_MODE: 'setup',
      DOCKER_INFLUXDB_INIT_USERNAME: 'nightcap',
      DOCKER_INFLUXDB_INIT_PASSWORD: 'a-password-of-this-test',
      DOCKER_INFLUXDB_INIT_ORG: CONTAINER.org,
      DOCKER_INFLUXDB_INIT_BUCKET: CONTAINER.bucket,
      DOCKER_INFLUXDB_INIT_ADMIN_TOKEN: CONTAINER.token,
    })
    .withWaitStrategy(Wait.forHttp('/health', 8086))
    .start()
  const started = await container.catch((error: unknown) => {
    const reason = error instanceof Error ? error.message : String(error)
    if (/container runtime/.test(reason)) return skipBecause(context, `no container engine: ${reason}`)
    throw error
  })
  return writtenTo({ ...CONTAINER, url: `http://${started.getHost()}:${started.getMappedPort(8086)}` }, null)
}

/** `https://TOKEN@host/?org=ORG&bucket=BUCKET` */
async function remoteHistory(context: TestContext): Promise<WrittenHistory> {
  const given = process.env['NIGHTCAP_TEST_INFLUX_URL']
  if (given === undefined) return skipBecause(context, 'NIGHTCAP_TEST_INFLUX_URL is not set')
  const url = new URL(given)
  const { searchParams: asked } = url
  return writtenTo(
    {
      url: url.origin,
      token: decodeURIComponent(url.username),
      org: asked.get('org') ?? 'shop',
      bucket: asked.get('bucket') ?? 'nightcap',
    },
    null,
  )
}

afterAll(async () => {
  await local?.close()
  await container?.then((c) => c.stop()).catch(() => undefined)
})

describe.each([
  ['in memory', async () => memoryHistory()],
  ['InfluxDB 1.6 of Debian', localHistory],
  ['InfluxDB 2 in a container', containerHistory],
  ['InfluxDB at an address', remoteHistory],
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
