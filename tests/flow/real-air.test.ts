import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { parseNodeConfig } from '../../sensors/load-config.ts'
import { runSensorNode } from '../../sensors/sense.ts'
import { createIioTree } from '../../sensors/simulator/write-iio-tree.ts'
import { createSqliteBookOfRecord } from '../../services/adapters/records-sqlite/create-book-of-record.ts'
import { createSqliteRecordsReader } from '../../services/adapters/records-sqlite/create-records-reader.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import { createLog } from '../../services/monitor/log.ts'
import { parseConfig } from '../../services/monitor/config.ts'
import { startMonitor } from '../../services/monitor/start-monitor.ts'
import { requireProgram } from '../parts/host.ts'
import { startMosquitto } from '../parts/mosquitto.ts'
import { createHandClock } from '../parts/node-clock.ts'
import { numberIn, referenceTable } from '../parts/reference-table.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'
import { untilHeard } from '../parts/until-heard.ts'
import { waitFor } from '../parts/wait-for.ts'

const MIN = 60_000
/** The room never reached 40 %RH in those weeks, so the limit stands where its air crossed it. */
const LIMIT = { openBelow: 25, closeAbove: 26, onDelayMs: 20 * MIN, offDelayMs: 20 * MIN }
const INTERVAL_MS = 15 * MIN
const VALID_FOR_MS = 3 * INTERVAL_MS
/** 574 weeks later, so that weekdays stay and no clock is called wrong: 2015-02-02 becomes 2026-02-02. */
const SHIFT_MS = 574 * 7 * 86_400_000

interface Row {
  readonly atMs: number
  readonly humidityPct: number
}

/**
 * One office room in Mons, every 15 minutes over 16 days, with holes of 7 h and 29 h: UCI Occupancy Detection
 * (Candanedo and Feldheim 2016, Energy and Buildings 112, CC BY 4.0; see tests/reference/data/LICENSES.md).
 */
const ROWS: readonly Row[] = referenceTable('occupancy_office_15min.csv').map((row) => ({
  atMs: Date.parse(`${row.get('timestamp_local') ?? ''}Z`) + SHIFT_MS,
  humidityPct: numberIn(row, 'rh_percent'),
}))

/**
 * The dry spells as a person with the table and a pencil would find them: a stretch of rows below the limit that
 * lasts for the delay begins one, the next stretch of rows above the upper limit that lasts ends it.
 */
function spellsByHand(rows: readonly Row[]): { from: number; to: number | null }[] {
  const spells: { from: number; to: number | null }[] = []
  for (let i = 0; ;) {
    const from = firstLasting(rows, i, (pct) => pct < LIMIT.openBelow, LIMIT.onDelayMs)
    if (from === null) return spells
    const to = firstLasting(rows, from, (pct) => pct > LIMIT.closeAbove, LIMIT.offDelayMs)
    spells.push({ from: rows[from]?.atMs ?? NaN, to: to === null ? null : (rows[to]?.atMs ?? NaN) })
    if (to === null) return spells
    i = to
  }
}

/** The first row at or after `start` that begins a stretch of such rows, without a hole, that lasts `delayMs`. */
function firstLasting(
  rows: readonly Row[],
  start: number,
  such: (pct: number) => boolean,
  delayMs: number,
): number | null {
  for (let i = start; i < rows.length; i++) {
    const first = rows[i]
    if (!first || !such(first.humidityPct)) continue
    let last = i
    let next = rows[last + 1]
    while (next && such(next.humidityPct) && next.atMs - (rows[last]?.atMs ?? 0) <= VALID_FOR_MS)
      next = rows[++last + 1]
    const knownUntilMs = (rows[last]?.atMs ?? 0) + VALID_FOR_MS
    const lastsUntilMs = Math.min(next?.atMs ?? Infinity, knownUntilMs)
    if (lastsUntilMs - first.atMs >= delayMs) return i
    i = last
  }
  return null
}

const folders = createTemporaryFolders()
afterAll(folders.removeAll)

describe('real air, from a kernel sensor tree to dry-air episodes', () => {
  it('the tests have something to find: spells, a hole within the series, rows in the deadband', () => {
    expect(ROWS).toHaveLength(1373)
    expect(spellsByHand(ROWS).length).toBeGreaterThanOrEqual(4)
    expect(ROWS.some((r) => r.humidityPct >= LIMIT.openBelow && r.humidityPct <= LIMIT.closeAbove)).toBe(true)
  })

  it(
    'equals the spells found by hand: same count, same start and end to the sample',
    { timeout: 120_000 },
    async (context) => {
      requireProgram(context, 'mosquitto')
      const folder = folders.make()
      const broker = await startMosquitto({ users: { monitor: 'monitor-secret', bench: 'bench-secret' } })
      const first = ROWS[0]?.atMs ?? 0
      const clock = createHandClock({ nowMs: first - MIN, bootId: 'real-air' })
      const monitor = await startMonitor({
        config: configOf(broker.url, folder),
        log: createLog({ level: 'silent' }),
        clock: { nowMs: clock.nowMs, realMs: (ms) => ms },
      })
      const act = { actorId: 'owner', via: 'program' as const, atMs: clock.nowMs() }
      await monitor.engine.submit({ type: 'settings', act, settings: settingsFor() })
      let probed = false
      const stopListening = monitor.engine.subscribe(({ latest }) => {
        probed ||= latest.some((r) => r.sensorId === 'bench/probe')
      })
      await untilHeard({
        url: broker.url,
        site: 'quayside',
        node: 'bench',
        secret: 'bench-secret',
        nowMs: clock.nowMs,
        heard: () => probed,
      })
      stopListening()
      let newestMs = 0
      monitor.engine.subscribe(({ latest }) => latest.forEach((r) => (newestMs = Math.max(newestMs, r.atMs))))

      const tree = createIioTree({ root: join(folder, 'sys') })
      const config = parseNodeConfig(nodeConfig(broker.url, folder), folder)
      if (!config.ok) throw new Error(JSON.stringify(config.problems))
      const done = new AbortController()
      await runSensorNode(
        { ...config.value, sysfsRoot: tree.sysfsRoot },
        {
          secret: 'bench-secret',
          log: { info: () => undefined, warn: () => undefined },
          clock,
          signal: done.signal,
          turns: async (_, work) => {
            for (const [i, { atMs, humidityPct }] of ROWS.entries()) {
              clock.advance(atMs - clock.nowMs())
              tree.update([
                {
                  channel: 'humidity',
                  quantity: 'humidity',
                  value: humidityPct,
                  atMs,
                  monotonicMs: 0,
                  trustedClock: true,
                },
              ])
              await work()
              // The monitor may lag, as behind any broker, but not by days.
              if (i % 10 === 9) await waitFor(`row ${i}`, () => (newestMs >= atMs ? true : null))
            }
            await waitFor('the last row', () => (newestMs >= (ROWS.at(-1)?.atMs ?? 0) ? true : null))
          },
        },
      )
      clock.advance(VALID_FOR_MS)
      await monitor.engine.tick()
      await monitor.close()
      await broker.close()

      const db = openDatabase({ dataDir: join(folder, 'data') })
      createSqliteBookOfRecord({ db })
      const found = createSqliteRecordsReader({ db })
        .episodes({ fromMs: 0, toMs: Number.MAX_SAFE_INTEGER })
        .filter((e) => e.condition === 'airDry')
      db.close()
      expect(found.map((e) => ({ from: e.fromMs, to: e.toMs }))).toEqual(spellsByHand(ROWS))
    },
  )
})

function settingsFor() {
  const shop = testSettings()
  const sensors = [
    {
      id: 'bench/humidity',
      quantity: 'humidity' as const,
      subject: { kind: 'room' as const, id: 'floor' },
      intervalMs: INTERVAL_MS,
    },
  ]
  return { ...shop, sensors, limits: { ...shop.limits, airDryPct: LIMIT } }
}

function configOf(url: string, folder: string) {
  const outcome = parseConfig({
    NIGHTCAP_DATA_DIR: join(folder, 'data'),
    NIGHTCAP_HTTP_PORT: '0',
    NIGHTCAP_MQTT_URL: url,
    NIGHTCAP_MQTT_USERNAME: 'monitor',
    NIGHTCAP_MQTT_PASSWORD: 'monitor-secret',
  })
  if (!outcome.ok) throw new Error(outcome.problems.join('\n'))
  return outcome.config
}

function nodeConfig(url: string, folder: string): string {
  return `
site: quayside
node: bench
broker: { url: '${url}' }
everyMs: 900000
channels:
  - { name: humidity, driver: iio, quantity: humidity }
outbox: { directory: ${join(folder, 'outbox')} }
`
}
