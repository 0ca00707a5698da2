import { afterEach, describe, expect, it } from 'vitest'
import { createDiskOutbox } from '../../sensors/outbox/disk-outbox.ts'
import { createPublisher } from '../../sensors/publish.ts'
import type { BookOfRecord } from '../../services/core/model/ports/records.ts'
import { parseConfig } from '../../services/monitor/config.ts'
import { createLog } from '../../services/monitor/log.ts'
import { startMonitor } from '../../services/monitor/start-monitor.ts'
import { createCutProxy } from '../parts/cut-proxy.ts'
import { createHandClock, sampleNow } from '../parts/node-clock.ts'
import { signIn } from '../parts/shop-client.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'
import { waitFor } from '../parts/wait-for.ts'

const folders = createTemporaryFolders()
const closers: (() => unknown)[] = []
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close()
  folders.removeAll()
})

const MIN = 60_000
const HOURS_CUT = 12
/** The air is dry from the fourth to the sixth hour of the cut. */
const DRY_FROM = 4 * 60
const DRY_TO = 6 * 60
/** One room and its humidity: what else would be silent has nothing to do with this. */
const settings = testSettings({
  machines: [],
  bottles: [],
  sensors: [
    { id: 'bench/air', quantity: 'humidity', subject: { kind: 'room', id: 'floor' }, intervalMs: MIN },
  ],
})

/** A started monitor, a node with its outbox on disk, and between them a line that can be cut. */
async function shop(startMs: number, maxBytes = 10_000_000) {
  const clock = createHandClock({ nowMs: startMs })
  const outcome = parseConfig({
    NIGHTCAP_DATA_DIR: folders.make(),
    NIGHTCAP_HTTP_PORT: '0',
    NIGHTCAP_MQTT_PORT: '0',
  })
  if (!outcome.ok) throw new Error(outcome.problems.join('\n'))
  let opened: BookOfRecord | null = null
  const monitor = await startMonitor({
    config: outcome.config,
    log: createLog({ level: 'silent' }),
    clock: { nowMs: clock.nowMs, realMs: (ms) => ms },
    prepare: ({ book }) => (opened = book),
  })
  closers.push(monitor.close)
  const owner = await signIn(monitor.url, monitor.firstOwnerCode())
  await owner.putSettings(settings)
  const proxy = await createCutProxy(monitor.mqttPort ?? 0)
  closers.push(proxy.close)
  const said: { waitingPacks?: number }[] = []
  const outbox = createDiskOutbox({
    directory: folders.make(),
    limits: { maxBytes, maxAgeMs: 7 * 86_400_000 },
    clock,
  })
  const warnings: string[] = []
  const node = createPublisher({
    url: `mqtt://127.0.0.1:${proxy.port}`,
    site: 'quayside',
    node: 'bench',
    secret: await owner.addNode('bench'),
    outbox,
    clock,
    everyMs: MIN,
    log: { info: (context) => void said.push(context), warn: (_, text) => void warnings.push(text) },
    backOff: { firstMs: 20, mostMs: 100 },
  })
  closers.push(node.stop)
  const measure = async (minute: number): Promise<void> => {
    clock.advance(MIN)
    node.publish([sampleNow(clock, { value: minute >= DRY_FROM && minute < DRY_TO ? 30 : 50 })])
    await monitor.engine.tick()
  }
  await waitFor('the node to be connected', () => (node.isConnected() ? true : null))
  return {
    monitor,
    node,
    outbox,
    proxy,
    owner,
    said,
    warnings,
    measure,
    readings: () => opened?.history.readingsAfter({ sensorIds: ['bench/air'], afterMs: 0 }) ?? [],
    episodes: () => opened?.history.episodesTouchedAfter({ subjectKey: 'room:floor', afterMs: 0 }) ?? [],
  }
}

describe('the line between a node and the monitor, cut for twelve hours', { timeout: 120_000 }, () => {
  it.each([
    ['an ordinary night', '2026-11-24T18:00:00Z'],
    ['the night with two hours from 2 to 3', '2026-10-24T18:00:00Z'],
    ['the night without an hour from 2 to 3', '2026-03-28T18:00:00Z'],
  ])(
    'CUT-1 %s: the node keeps every pack, says how many, and what happened meanwhile is told with its true times',
    async (_, start) => {
      const startMs = Date.parse(start)
      const { node, outbox, proxy, said, warnings, measure, readings, episodes } = await shop(startMs)
      await measure(0)
      await node.drained()
      proxy.cut()
      for (let minute = 1; minute <= HOURS_CUT * 60; minute++) await measure(minute)
      expect([outbox.stats().waitingPacks, outbox.stats().droppedPacks, readings().length]).toEqual([
        HOURS_CUT * 60,
        0,
        1,
      ])
      expect(episodes().some((e) => e.condition === 'airDry' || e.condition === 'airVeryDry')).toBe(false)
      await waitFor('the node to say that packs are kept', () =>
        warnings.some((text) => /packs are kept, and tried again/.test(text)) ? true : null,
      )
      proxy.mend()
      await node.drained()
      await measure(HOURS_CUT * 60 + 1)
      await node.drained()
      expect(said.at(-1)).toMatchObject({ waitingPacks: HOURS_CUT * 60 })
      const atMs = readings().map((r) => r.atMs)
      expect(atMs).toEqual(
        Array.from({ length: HOURS_CUT * 60 + 2 }, (_unused, i) => startMs + (i + 1) * MIN),
      )
      // From the first dry value to the first good one, whatever the clock on the wall did in between.
      const dry = episodes().filter((e) => e.condition === 'airDry')
      expect(dry.map((e) => [e.fromMs, e.toMs])).toEqual([
        [startMs + (DRY_FROM + 1) * MIN, startMs + (DRY_TO + 1) * MIN],
      ])
    },
  )

  it('CUT-2 an outbox that is full drops the oldest, counts them, and the monitor tells that readings are missing', async () => {
    const { node, outbox, proxy, owner, measure, readings } = await shop(
      Date.parse('2026-11-24T18:00:00Z'),
      20_000,
    )
    await measure(0)
    await node.drained()
    proxy.cut()
    for (let minute = 1; minute <= 240; minute++) await measure(minute)
    const { waitingPacks, droppedPacks } = outbox.stats()
    expect([droppedPacks > 0, waitingPacks + droppedPacks]).toEqual([true, 240])
    proxy.mend()
    await node.drained()
    // The newest are all there: those that went are the oldest.
    expect(readings().length).toBe(1 + waitingPacks)
    for (let minute = 241; minute <= 250; minute++) {
      await measure(minute)
      await node.drained()
    }
    expect((await owner.alarms()).map((a) => a.condition)).toContain('readingsMissing')
  })
})
