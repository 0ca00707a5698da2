import { afterAll, describe, expect, it } from 'vitest'
import { createInfluxWriter } from '../../services/adapters/history-influx/create-influx-writer.ts'
import type { InputBody, Reading } from '../../services/core/model/input.ts'
import {
  HistoryRefusedError,
  type HistoryWriter,
  type PlacedReading,
} from '../../services/core/model/ports/history.ts'
import { createAwaited, createForwarder, forwardAll } from '../../services/monitor/forward-readings.ts'
import { requireProgram } from '../parts/host.ts'
import { influxRows, startInflux } from '../parts/influx.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { createSqliteBench, type SqliteRecords } from '../parts/sqlite-records.ts'

const bench = createSqliteBench()
afterAll(() => bench.closeAll())

const T0 = Date.UTC(2026, 4, 4, 6)
const ACT = { actorId: 'owner', via: 'screen', atMs: T0 } as const
const quiet = { warn: () => undefined, info: () => undefined }

function log({ book }: SqliteRecords, body: InputBody): void {
  book.transaction(() => book.appendInput({ ...body, seq: book.lastSeq() + 1 }))
}
const stamp = (atMs: number) => ({ atMs, receivedMs: atMs })
function readings(from: number, count: number): Reading[] {
  return Array.from({ length: count }, (_, i) => ({
    sensorId: 'room-a/humidity',
    quantity: 'humidity' as const,
    atMs: T0 + (from + i) * 1000,
    value: 40 + ((from + i) % 97) / 8,
  }))
}
function pack(records: SqliteRecords, from: number, count: number): void {
  const atMs = T0 + (from + count) * 1000
  log(records, { type: 'readings', ...stamp(atMs), nodeId: 'room-a', readings: readings(from, count) })
}

/** A store in memory that does as told. */
function memoryWriter(refuse: (r: PlacedReading) => boolean = () => false) {
  const held: PlacedReading[] = []
  const state = { away: false, held }
  const writer: HistoryWriter = {
    write: async (list) => {
      if (state.away) throw new Error('nobody there')
      if (list.some(refuse)) throw new HistoryRefusedError('one of these will never do')
      held.push(...list)
    },
  }
  return { state, writer }
}

describe('forwarding readings', () => {
  it('FORWARD-1 what came while the store was away waits, is counted, and goes in order', async () => {
    const records = bench.open()
    const { state, writer } = memoryWriter()
    const forwarder = createForwarder({ ...records, writer, log: quiet })
    state.away = true
    pack(records, 0, 300)
    await forwardAll(forwarder)
    pack(records, 300, 5_200)
    await forwardAll(forwarder)
    expect([forwarder.waiting(), state.held.length]).toEqual([5_500, 0])
    expect(forwarder.problem()).toMatch(/nobody there.*nothing is lost/)
    state.away = false
    await forwardAll(forwarder)
    expect(state.held.map((r) => r.atMs)).toEqual(readings(0, 5_500).map((r) => r.atMs))
    expect([forwarder.waiting(), forwarder.problem()]).toEqual([0, null])
  })

  it('FORWARD-5 what stood on the log at the start, or at the last look, is awaited until the store has it; not what comes', async () => {
    const records = bench.open()
    const { state, writer } = memoryWriter()
    const forwarder = createForwarder({ ...records, writer, log: quiet })
    pack(records, 0, 3)
    const awaited = createAwaited(records.book)
    expect(awaited()).toBe(true)
    pack(records, 3, 3)
    state.away = true
    await forwardAll(forwarder)
    expect(awaited()).toBe(true)
    state.away = false
    await forwardAll(forwarder)
    pack(records, 6, 3)
    expect([forwarder.waiting(), awaited()]).toEqual([3, false])
    state.away = true
    await forwardAll(forwarder)
    expect([forwarder.waiting(), awaited()]).toEqual([3, true])
  })

  it('FORWARD-2 a restart goes on where the store had taken the last', async () => {
    const records = bench.open()
    const { state, writer } = memoryWriter()
    pack(records, 0, 10)
    await forwardAll(createForwarder({ ...records, writer, log: quiet }))
    pack(records, 10, 10)
    await forwardAll(createForwarder({ ...records, writer, log: quiet }))
    expect(state.held).toHaveLength(20)
  })

  it('FORWARD-2 when the mark could not be kept, the same are handed on again and none is left out', async () => {
    const records = bench.open()
    const { state, writer } = memoryWriter()
    pack(records, 0, 10)
    const book = {
      ...records.book,
      noteForwarded: () => {
        throw new Error('the disk is full')
      },
    }
    await expect(createForwarder({ ...records, book, writer, log: quiet }).forward()).rejects.toThrow(/full/)
    await forwardAll(createForwarder({ ...records, writer, log: quiet }))
    expect(state.held.map((r) => r.atMs)).toEqual([...readings(0, 10), ...readings(0, 10)].map((r) => r.atMs))
  })

  it('FORWARD-3 each reading stands where it belonged when it came', async () => {
    const records = bench.open()
    const { state, writer } = memoryWriter()
    const bound = testSettings({
      sensors: [
        {
          id: 'room-a/humidity',
          quantity: 'humidity',
          subject: { kind: 'room', id: 'floor' },
          intervalMs: 1000,
        },
      ],
    })
    pack(records, 0, 1)
    log(records, { type: 'settings', ...stamp(T0 + 5_000), act: ACT, settings: bound })
    pack(records, 10, 1)
    await forwardAll(createForwarder({ ...records, writer, log: quiet }))
    log(records, {
      type: 'settings',
      ...stamp(T0 + 20_000),
      act: ACT,
      settings: testSettings({ sensors: [] }),
    })
    pack(records, 30, 1)
    await forwardAll(createForwarder({ ...records, writer, log: quiet }))
    expect(state.held.map((r) => [r.subject, r.roomId])).toEqual([
      [null, null],
      [{ kind: 'room', id: 'floor' }, 'floor'],
      [null, null],
    ])
  })

  it('FORWARD-4 one reading that will never do is left out alone', async () => {
    const records = bench.open()
    const lines: object[] = []
    const { state, writer } = memoryWriter((r) => r.atMs === T0 + 321_000)
    pack(records, 0, 1_000)
    const log = { ...quiet, warn: (line: object) => void lines.push(line) }
    const forwarder = createForwarder({ ...records, writer, log })
    await forwardAll(forwarder)
    expect(state.held).toHaveLength(999)
    expect(lines).toMatchObject([{ sensorId: 'room-a/humidity', atMs: T0 + 321_000 }])
    expect(forwarder.waiting()).toBe(0)
  })

  it('InfluxDB stopped in the middle of 200,000 readings and back: counts and sums are equal on both sides', async (context) => {
    requireProgram(context, 'influxd')
    const influx = await startInflux()
    context.onTestFinished(influx.close)
    const records = bench.open()
    const forwarder = createForwarder({
      ...records,
      writer: createInfluxWriter({ ...influx, timeoutMs: 5_000 }),
      log: quiet,
    })
    const ALL = 200_000
    let failures = 0
    for (let from = 0; from < ALL; from += 10_000) {
      for (let at = from; at < from + 10_000; at += 500) pack(records, at, 500)
      if (from === 60_000) await influx.stop('SIGKILL')
      if (from === 140_000) await influx.start()
      await forwardAll(forwarder)
      if (forwarder.problem() !== null) failures++
    }
    await forwardAll(forwarder)
    expect(failures).toBeGreaterThan(3)
    expect([forwarder.waiting(), records.reader.counts().readings]).toEqual([0, ALL])
    const sum = readings(0, ALL).reduce((all, r) => all + r.value, 0)
    const [row] = await influxRows(
      influx,
      'SELECT count(value), sum(value), first(value), last(value) FROM humidity',
    )
    expect(row?.slice(1)).toEqual([ALL, sum, 40, readings(ALL - 1, 1)[0]?.value])
  }, 120_000)
})
