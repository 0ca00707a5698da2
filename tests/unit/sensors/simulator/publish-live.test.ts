import { createServer, type AddressInfo } from 'node:net'
import { Aedes } from 'aedes'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { createSimulatedShop } from '../../../../sensors/simulator/create-shop.ts'
import { runLivePublisher } from '../../../../sensors/simulator/publish-live.ts'
import { demoNodes, demoPlan } from '../../../../sensors/simulator/shop-plan.ts'
import { createScaledClock } from '../../../../services/adapters/clock/scaled-clock.ts'
import { createQuietLog } from '../../../parts/quiet-log.ts'
import { waitFor } from '../../../parts/wait-for.ts'

const START = Date.parse('2026-01-14T09:00:00Z')
const plan = demoPlan()
const log = createQuietLog()
const secretOf = (id: string): string => `secret of ${id}`

interface SenmlLine {
  readonly bn?: string
  readonly bt?: number
  readonly n?: string
  readonly t?: number
  readonly v?: number
}
interface Heard {
  readonly topic: string
  readonly clientId: string
  readonly qos: number
  readonly text: string
}

let heard: Heard[] = []
let signedIn: string[] = []
let url = ''
let close: () => Promise<void> = async () => undefined

beforeEach(async () => {
  heard = []
  signedIn = []
  const broker = await Aedes.createBroker()
  broker.authenticate = (client, name, secret, done) => {
    const good = name === client.id && secret?.toString() === secretOf(client.id)
    if (good) signedIn.push(client.id)
    done(null, good)
  }
  broker.on('publish', (packet, client) => {
    if (client)
      heard.push({
        topic: packet.topic,
        clientId: client.id,
        qos: packet.qos,
        text: packet.payload.toString(),
      })
  })
  const server = createServer((socket) => void broker.handle(socket))
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  url = `mqtt://127.0.0.1:${(server.address() as AddressInfo).port}`
  close = async () => {
    await new Promise<void>((resolve) => broker.close(() => resolve()))
    await new Promise<void>((resolve) => server.close(() => resolve()))
  }
})
afterEach(() => close())

const packsOf = (node: string): SenmlLine[][] =>
  heard
    .filter((h) => h.topic === `nightcap/v1/quayside/node/${node}/readings`)
    .map((h) => JSON.parse(h.text) as SenmlLine[])

describe('live publishing of the simulated shop', () => {
  it('LIVE-1 each node signs in by its own name and publishes its own packs at QoS 1, then says offline', async () => {
    const shop = createSimulatedShop({ seed: 3, plan, startMs: START })
    const stop = new AbortController()
    const running = runLivePublisher({
      shop,
      url,
      site: 'quayside',
      secrets: new Map(demoNodes.map(({ id }) => [id, secretOf(id)])),
      clock: createScaledClock({ startMs: START, speed: 200 }),
      signal: stop.signal,
      log,
    })
    await waitFor(
      'three packs of each node',
      () => demoNodes.every(({ id }) => packsOf(id).length >= 3) || null,
    )
    stop.abort()
    await running
    expect(new Set(signedIn)).toEqual(new Set(demoNodes.map((n) => n.id)))
    for (const { topic, clientId, qos } of heard) {
      expect(topic).toContain(`/node/${clientId}/`)
      expect(qos).toBe(1)
    }
    for (const { id } of demoNodes) {
      const status = heard
        .filter((h) => h.topic === `nightcap/v1/quayside/node/${id}/status`)
        .map((h) => h.text)
      expect(status).toEqual(['online', 'offline'])
    }
  })

  it('LIVE-2 on a fast clock nothing is lost: packs hold several readings, ten simulated seconds apart', async () => {
    const shop = createSimulatedShop({ seed: 3, plan, startMs: START })
    const stop = new AbortController()
    const running = runLivePublisher({
      shop,
      url,
      site: 'quayside',
      secrets: new Map(demoNodes.map(({ id }) => [id, secretOf(id)])),
      clock: createScaledClock({ startMs: START, speed: 200 }),
      signal: stop.signal,
      log,
    })
    await waitFor('five packs', () => packsOf('floor-air').length >= 5 || null)
    stop.abort()
    await running
    const times = packsOf('floor-air').flatMap((pack) => {
      const [head] = pack
      return pack
        .filter((line, at) => at === 0 || line.n === 'humidity')
        .map((line) => Math.round(((head?.bt ?? 0) + (line.t ?? 0)) * 1000))
    })
    expect(times.length).toBeGreaterThan(packsOf('floor-air').length * 2)
    times.slice(1).forEach((ms, at) => expect(ms - (times[at] ?? 0)).toBe(10_000))
  })

  it('LIVE-3 a node without a secret is named at once', async () => {
    const shop = createSimulatedShop({ seed: 3, plan, startMs: START - 60_000 })
    const running = runLivePublisher({
      shop,
      url,
      site: 'quayside',
      secrets: new Map([['floor-air', secretOf('floor-air')]]),
      clock: createScaledClock({ startMs: START, speed: 1 }),
      signal: new AbortController().signal,
      log,
    })
    await expect(running).rejects.toThrow('secrets must name every simulated node, back-air is missing')
  })
})
