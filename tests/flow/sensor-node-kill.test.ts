import type { ChildProcess } from 'node:child_process'
import { once } from 'node:events'
import { cpSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { createSystemNodeClock } from '../../sensors/node-clock.ts'
import { createDiskOutbox } from '../../sensors/outbox/disk-outbox.ts'
import type { OutboxEntry } from '../../sensors/outbox/outbox.ts'
import { requireProgram } from '../parts/host.ts'
import { startLastingMosquitto } from '../parts/lasting-mosquitto.ts'
import { listenForPacks } from '../parts/pack-listener.ts'
import { spawnSensorNode } from '../parts/sensor-node-process.ts'
import { createSysfsTree } from '../parts/sysfs-tree.ts'
import { waitFor } from '../parts/wait-for.ts'

const SECRET = 'a-secret-made-for-this-test'

let directory = ''
const toClose: (() => Promise<unknown> | void)[] = []
beforeEach(() => (directory = mkdtempSync(join(tmpdir(), 'nightcap-node-'))))
afterEach(async () => {
  for (const close of toClose.splice(0).reverse()) await close()
  rmSync(directory, { recursive: true, force: true })
})

/** Writes the config of a node with one sensor, a file. */
function prepareNode(url: string): string {
  const sysfs = createSysfsTree()
  toClose.push(() => sysfs.remove('.'))
  sysfs.write('bus/iio/devices/iio:device0', { name: 'dht11', in_humidityrelative_input: 41_500 })
  const configFile = join(directory, 'node.json')
  const channels = [{ name: 'air', driver: 'iio', quantity: 'humidity' }]
  const outbox = { directory: 'outbox' }
  const config = {
    site: 'quayside',
    node: 'bench',
    broker: { url },
    everyMs: 500,
    sysfsRoot: sysfs.root,
    channels,
    outbox,
  }
  writeFileSync(configFile, JSON.stringify(config))
  return configFile
}

function spawnNode(configFile: string): ChildProcess {
  const node = spawnSensorNode(configFile, SECRET)
  toClose.push(() => void node.kill('SIGKILL'))
  return node
}

/** What waits in the node's outbox; in a copy of it, since opening tidies. */
function waiting(): readonly OutboxEntry[] {
  const copy = join(directory, 'copy')
  rmSync(copy, { recursive: true, force: true })
  cpSync(join(directory, 'outbox'), copy, { recursive: true })
  const limits = { maxBytes: 10_000_000, maxAgeMs: 86_400_000 }
  return createDiskOutbox({ directory: copy, limits, clock: createSystemNodeClock() }).peek({
    afterId: 0,
    limit: 1000,
  })
}

describe('a whole node that is killed', () => {
  it('NODE-1 comes back with the rest of its packs, in order, before those of its new boot', async (context) => {
    requireProgram(context, 'mosquitto')
    const broker = await startLastingMosquitto(directory, { users: { bench: SECRET, listener: 'another' } })
    toClose.push(broker.close)
    const heard = await listenForPacks(broker.url, { username: 'listener', password: 'another' })
    toClose.push(heard.close)
    const configFile = prepareNode(broker.url)

    const first = spawnNode(configFile)
    await waitFor('its first packs', () => (heard.packs.length >= 2 ? true : null))
    await broker.stop()
    await waitFor('packs that wait', () => (waiting().length >= 2 ? true : null))
    first.kill('SIGKILL')
    await once(first, 'exit')
    const last = waiting().at(-1)

    await broker.start()
    spawnNode(configFile)
    await waitFor('the new boot', () =>
      heard.packs.filter((p) => p.boot !== last?.bootId).length >= 2 ? true : null,
    )
    const before = heard.packs.filter((p) => p.boot === last?.bootId).map((p) => p.sequence)
    // A pack that was heard just before the broker stopped may come again: its acknowledgement was lost.
    expect([...new Set(before)]).toEqual(Array.from({ length: last?.packSequence ?? 0 }, (_, i) => i + 1))
    const firstOfNew = heard.packs.findIndex((p) => p.boot !== last?.bootId)
    expect(
      heard.packs
        .slice(firstOfNew)
        .map((p) => p.sequence)
        .slice(0, 2),
    ).toEqual([1, 2])
    expect(firstOfNew).toBe(before.length)
  }, 60_000)

  it('NODE-2 leaves its last will, and says offline itself when it is asked to stop', async (context) => {
    requireProgram(context, 'mosquitto')
    const broker = await startLastingMosquitto(directory, { users: { bench: SECRET, listener: 'another' } })
    toClose.push(broker.close)
    const heard = await listenForPacks(broker.url, { username: 'listener', password: 'another' })
    toClose.push(heard.close)
    const configFile = prepareNode(broker.url)
    const status = (text: string): Promise<true> =>
      waitFor(`the status ${text}`, () => (heard.statuses.at(-1)?.text === text ? true : null))

    const killed = spawnNode(configFile)
    await status('online')
    killed.kill('SIGKILL')
    await status('offline')
    const stopped = spawnNode(configFile)
    await status('online')
    stopped.kill('SIGTERM')
    expect(await once(stopped, 'exit')).toEqual([0, null])
    await status('offline')
    expect(waiting()).toEqual([])
  }, 60_000)
})
