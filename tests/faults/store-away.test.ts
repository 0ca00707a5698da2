import { afterEach, describe, expect, it } from 'vitest'
import { createInfluxWriter } from '../../services/adapters/history-influx/create-influx-writer.ts'
import { createForwarder, forwardAll } from '../../services/monitor/forward-readings.ts'
import { createLog } from '../../services/monitor/log.ts'
import { judgeOwnHealth, WELL } from '../../services/monitor/own-health.ts'
import { pack, reading, T0 } from '../contracts/record-samples.ts'
import { requireProgram } from '../parts/host.ts'
import { influxRows, startInflux } from '../parts/influx.ts'
import { createSqliteBench } from '../parts/sqlite-records.ts'

const bench = createSqliteBench()
afterEach(bench.closeAll)

/** A reading a minute. */
const DAYS = 4
const READINGS = DAYS * 1440

describe('an InfluxDB that is away for days', { timeout: 120_000 }, () => {
  it('AWAY-1 what was measured meanwhile waits, it is said how much, and all of it arrives once', async (context) => {
    requireProgram(context, 'influxd')
    const influx = await startInflux()
    try {
      const { book, reader } = bench.open()
      const lines: string[] = []
      const log = createLog({ level: 'info', to: { write: (line) => void lines.push(line) } })
      const forwarder = createForwarder({ book, reader, writer: createInfluxWriter(influx), log })
      await influx.stop()
      for (let day = 0; day < DAYS; day++) {
        book.transaction(() => {
          for (let n = day * 1440 + 1; n <= (day + 1) * 1440; n++)
            book.appendInput(pack(n, [reading(n * 60)]))
        })
        await forwardAll(forwarder)
      }
      expect(forwarder.waiting()).toBe(READINGS)
      const facts = { ...WELL, forwarderProblem: forwarder.problem(), readingsWaiting: forwarder.waiting() }
      const { ok, problems } = judgeOwnHealth(facts)
      expect([ok, problems]).toEqual([
        true,
        [expect.stringMatching(/they wait here and nothing is lost; 5,760 readings wait so far/)],
      ])
      await influx.start()
      await forwardAll(forwarder)
      const rows = await influxRows(influx, 'SELECT count(*) FROM humidity')
      expect([rows[0]?.at(-1), forwarder.waiting(), forwarder.problem()]).toEqual([READINGS, 0, null])
      const ends = await influxRows(influx, 'SELECT first(value) FROM humidity')
      expect(ends[0]?.[0]).toBe(T0 + 60_000)
      expect(lines.map((line) => (JSON.parse(line) as { msg: string }).msg)).toEqual([
        'the history store does not take readings; they wait in the book of record',
        'the history store takes readings again',
      ])
    } finally {
      await influx.close()
    }
  })
})
