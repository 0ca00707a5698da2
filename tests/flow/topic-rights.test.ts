import { afterEach, describe, expect, it, type TestContext } from 'vitest'
import { createSystemClock } from '../../services/adapters/clock/system-clock.ts'
import { createEmbeddedBroker } from '../../services/adapters/mqtt/embedded-broker.ts'
import { createExternalBroker } from '../../services/adapters/mqtt/external-broker.ts'
import type { MqttDoor } from '../../services/adapters/mqtt/mqtt-door.ts'
import { machineStateTopic, readingsTopic, statusTopic } from '../../services/core/model/topics.ts'
import { createHeldSink } from '../parts/held-sink.ts'
import { requireProgram } from '../parts/host.ts'
import {
  connectClient,
  humidityPack,
  secretOf,
  type ClientOptions,
  type TestClient,
} from '../parts/mqtt-client.ts'
import { createQuietLog } from '../parts/quiet-log.ts'
import { startShippedMosquitto } from '../parts/shipped-mosquitto.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { waitFor } from '../parts/wait-for.ts'

/**
 * Who may say and hear what: every identity times every topic, at the embedded broker and behind the shipped
 * configuration of Mosquitto. What is expected is written down here a second time, in words of its own.
 */
const WHO = ['bench', 'shelf', 'plug', 'program-wall'] as const
type Who = (typeof WHO)[number]

const SITES = ['quayside', 'elsewhere'] as const
const OWN_TOPICS = [readingsTopic, statusTopic]
const TOPICS: readonly string[] = [
  ...SITES.flatMap((site) => WHO.flatMap((who) => OWN_TOPICS.map((topic) => topic(site, who)))),
  ...SITES.map((site) => machineStateTopic(site, 'roll')),
  `${readingsTopic('quayside', 'bench')}/more`,
  'nightcap/v1/quayside/node/bench',
  'nightcap/v1/quayside/node/bench/commands',
  'nightcap/v1/quayside/node/readings',
  'nightcap/v2/quayside/node/bench/readings',
  'nightcap/bench/readings',
  'plug/w',
  'plug/relay',
  'plug/w/deeper',
  'bench',
  '$SYS/broker/uptime',
  '/nightcap/v1/quayside/node/bench/readings',
]
const FILTERS = [
  ...TOPICS,
  '#',
  '+/#',
  'nightcap/#',
  'nightcap/v1/quayside/node/+/readings',
  '$SYS/#',
  'plug/+',
]
const STATE_OF_ALL = machineStateTopic('quayside', '+')

/** A node writes its own two topics of its site, a device that of its binding. A program writes nothing. */
function maySay(who: Who, topic: string): boolean {
  if (who === 'program-wall') return false
  if (who === 'plug' && topic === 'plug/w') return true
  return (
    topic === `nightcap/v1/quayside/node/${who}/readings` ||
    topic === `nightcap/v1/quayside/node/${who}/status`
  )
}

/** Mosquitto's patterns know the name of a user and nothing else: any site, and a program's own name too. The monitor judges both. */
function maySayAtMosquitto(who: Who, topic: string): boolean {
  if (who === 'plug' && topic === 'plug/w') return true
  return SITES.some((site) => OWN_TOPICS.some((own) => own(site, who) === topic))
}

const settings = testSettings({
  nodes: [{ id: 'bench' }, { id: 'shelf' }],
  sensors: [
    {
      id: 'plug/power',
      quantity: 'power',
      subject: { kind: 'machine', id: 'roll' },
      foreign: { topicFilter: 'plug/w' },
    },
  ],
})

const opened: { close: () => Promise<unknown> }[] = []
afterEach(async () => {
  for (const part of opened.splice(0).reverse()) await part.close()
})

interface Place {
  readonly port: number
  readonly door: MqttDoor
  readonly maySay: typeof maySay
  /** The protocol by which a refusal is told. */
  readonly options: ClientOptions
}

async function embedded(): Promise<Place> {
  const door = await createEmbeddedBroker({
    host: '127.0.0.1',
    port: 0,
    verifyNode: (id, secret) => secret === secretOf(id) && !id.startsWith('program'),
    verifyProgram: (id, secret) => secret === secretOf(id) && id.startsWith('program'),
    settings,
    sink: createHeldSink(),
    clock: createSystemClock(),
    log: createQuietLog(),
  })
  opened.push(door)
  return { port: door.port, door, maySay, options: {} }
}

async function mosquitto(context: TestContext): Promise<Place> {
  requireProgram(context, 'mosquitto')
  const broker = await startShippedMosquitto({
    users: Object.fromEntries(['monitor', ...WHO].map((n) => [n, secretOf(n)])),
    moreAcl: [
      'user plug',
      'topic write plug/w',
      'user program-wall',
      `topic read ${STATE_OF_ALL}`,
      'user monitor',
      'topic read plug/w',
    ].join('\n'),
  })
  opened.push(broker)
  const door = createExternalBroker({
    url: broker.url,
    username: 'monitor',
    password: secretOf('monitor'),
    settings,
    sink: createHeldSink(),
    clock: createSystemClock(),
    log: createQuietLog(),
  })
  opened.push(door)
  await waitFor('the monitor to be let in', () => (door.connected() ? true : null))
  return { port: broker.nodePort, door, maySay: maySayAtMosquitto, options: { protocolVersion: 5 } }
}

const PLACES = [
  ['at the embedded broker', (): Promise<Place> => embedded()],
  ['behind Mosquitto as it is shipped', mosquitto],
] as const

async function enter({ port, options }: Place, who: Who, more: ClientOptions = {}): Promise<TestClient> {
  const client = await connectClient(port, who, { ...options, ...more })
  opened.push({ close: client.end })
  return client
}

/** Did the broker take it? Refused is an error code, or a connection that is closed. */
async function says(client: TestClient, topic: string): Promise<boolean> {
  const taken = client.publish(topic, '[]').then(
    () => true,
    () => false,
  )
  return Promise.race([taken, client.untilClosed.then(() => false)])
}

describe.each(PLACES)('rights %s', (_, open) => {
  it.for(WHO)('%s says what is its own, and nothing else', async (who, context) => {
    const place = await open(context)
    const wrong: string[] = []
    for (const topic of TOPICS) {
      const client = await enter(place, who)
      const taken = await says(client, topic)
      if (taken !== place.maySay(who, topic)) wrong.push(`${topic} was ${taken ? 'taken' : 'refused'}`)
      await client.end()
    }
    expect(wrong).toEqual([])
  })

  it('a last will of anybody reaches nobody whom the same word would not reach', async (context) => {
    const place = await open(context)
    const wall = await listenAs(place, 'program-wall', ['#', STATE_OF_ALL])
    for (const topic of TOPICS.filter((t) => !t.startsWith('$'))) {
      const will = { topic, payload: Buffer.from('[]'), qos: 1 as const, retain: false }
      const client = await enter(place, 'shelf', { will }).catch(() => null)
      // Without a goodbye, so that the will is said.
      client?.client.stream.destroy()
      await client?.untilClosed
    }
    await place.door.publishState(machineStateTopic('quayside', 'roll'), '{"last":true}')
    await waitFor('the state', () => (wall.heard().length > 0 ? true : null))
    expect([...new Set(wall.heard())]).toEqual([machineStateTopic('quayside', 'roll')])
  })

  it('nobody hears anything but a program, and it the state of machines of its site alone', async (context) => {
    const place = await open(context)
    const listeners = await Promise.all(
      WHO.map((who) => listenAs(place, who, who === 'program-wall' ? [...FILTERS, STATE_OF_ALL] : FILTERS)),
    )
    // Those who listen speak as well: a node has one client id, and a second connection would end the first.
    const voiceOf = (who: Who): TestClient => {
      const found = listeners.find((l) => l.who === who)
      if (!found) throw new Error(`${who} does not listen`)
      return found.client
    }
    await voiceOf('bench').publish(readingsTopic('quayside', 'bench'), humidityPack('bench', 41))
    await voiceOf('bench').publish(statusTopic('quayside', 'bench'), 'online', { retain: true })
    await voiceOf('plug').publish('plug/w', '41')
    await place.door.publishState(machineStateTopic('quayside', 'roll'), '{}')
    const wall = listeners.at(-1)
    await waitFor('the state', () => (wall?.heard().length ? true : null))
    // What was on its way before the answer to this is there by now.
    for (const { client } of listeners) await client.client.unsubscribeAsync('nothing')
    const heard = Object.fromEntries(listeners.map(({ who, heard: told }) => [who, [...new Set(told())]]))
    expect(heard).toEqual({
      bench: [],
      shelf: [],
      plug: [],
      'program-wall': [machineStateTopic('quayside', 'roll')],
    })
  })

  it.for<[string, ClientOptions]>([
    ['without name and password', { username: undefined, password: undefined }],
    ['with a wrong password', { password: 'wrong' }],
    ['with the password of another', { password: secretOf('shelf') }],
    ['with a name that nobody has', { username: 'nobody' }],
    ['with a name that is a pattern', { username: '+' }],
  ])('nobody comes in %s', async ([, who], context) => {
    const place = await open(context)
    await expect(enter(place, 'bench', who)).rejects.toThrow(/refused|uthori/)
  })
})

async function listenAs(
  place: Place,
  who: Who,
  filters: readonly string[],
): Promise<{ who: Who; client: TestClient; heard: () => readonly string[] }> {
  const client = await enter(place, who)
  const topics: string[] = []
  client.client.on('message', (topic) => topics.push(topic))
  for (const filter of filters) await client.client.subscribeAsync(filter, { qos: 1 }).catch(() => null)
  return { who, client, heard: () => topics }
}
