import type { Socket } from 'node:net'
import type { AedesOptions, Client, ConnectPacket, PublishPacket } from 'aedes'
import type { Clock } from '../../core/model/ports/clock.ts'
import type { IngestSink } from '../../core/model/ports/ingest.ts'
import type { RejectionCode } from '../../core/model/rejection.ts'
import type { Settings } from '../../core/model/settings.ts'
import { parseNodeTopic } from '../../core/model/topics.ts'
import {
  type ClientIdentity,
  identify,
  isStateTopic,
  keptClientId,
  mayPublish,
  maySubscribe,
  type RefusedConnection,
  type VerifySecret,
} from './client-identity.ts'
import { guardSocket } from './guarded-socket.ts'
import { judgeMessage, MAX_PAYLOAD_BYTES } from './judge-message.ts'
import { toMessageIndex } from './message-index.ts'
import { createOffers } from './offers.ts'
import type { OversizedPacket } from './packet-guard.ts'
import { toRejection, toSample } from './reject.ts'
import { createSparingLog, type MqttLog } from './sparing-log.ts'

/** A stranger needs no more than this to say who it is. */
const MAX_CONNECT_BYTES = 16 * 1024
/** Packets above this are cut off when announced; between this and the payload limit they are judged and acknowledged. */
const MAX_PACKET_BYTES = 2 * MAX_PAYLOAD_BYTES
/** So many connections may one device or program hold, whatever client ids it gives. Starting value. */
const MOST_CONNECTIONS_OF_ONE = 16

type Callbacks = Required<
  Pick<AedesOptions, 'preConnect' | 'authenticate' | 'authorizePublish' | 'authorizeSubscribe'>
>

/** What the embedded broker asks before it lets anything through. */
export interface BrokerGate extends Callbacks {
  readonly mayHear: (client: Client, topic: string) => boolean
  /** Watches a new connection for oversized packets. */
  readonly watch: (socket: Socket, client: Client) => void
  readonly updateSettings: (settings: Settings) => void
  readonly disconnect: (identity: ClientIdentity) => void
  readonly say: ReturnType<typeof createSparingLog>
  /** Lets nothing new in, and resolves once what was offered is committed or has failed. */
  readonly close: () => Promise<void>
}

export interface BrokerGateParts {
  readonly verifyNode: VerifySecret
  readonly verifyProgram: VerifySecret
  readonly settings: Settings
  readonly sink: IngestSink
  readonly clock: Clock
  readonly log: MqttLog
}

export function createBrokerGate(parts: BrokerGateParts): BrokerGate {
  const { clock, verifyNode, verifyProgram } = parts
  const say = createSparingLog(parts)
  const offers = createOffers(parts.sink)
  // Looked up after the connection is gone, too: a last will is published then.
  const identities = new WeakMap<Client, ClientIdentity>()
  const live = new Set<Client>()
  const refusals = new WeakMap<Client, RefusedConnection>()
  let index = toMessageIndex(parts.settings)
  let closing = false

  /** Counts in quarantine what was kept out; a failure to count changes nothing for the client, which is cut anyway. */
  const countRefused = (
    topic: string,
    code: RejectionCode,
    reason: string,
    payload: Uint8Array,
  ): Promise<void> => {
    const rejections = [toRejection(topic, code, reason, toSample(payload))]
    return offers
      .offer({ receivedMs: clock.nowMs(), readings: null, status: null, rejections })
      .catch((error: unknown) => {
        say.warn('count', { reason: String(error) }, 'a refused MQTT message could not be counted')
      })
  }

  /** Ends the oldest connection of who has too many: one secret must not take the place of all other nodes. */
  function makeRoom({ kind, id }: ClientIdentity): void {
    const own = [...live].filter((client) => isOf(identities.get(client), { kind, id }))
    if (own.length < MOST_CONNECTIONS_OF_ONE) return
    say.warn(
      `many ${kind} ${id}`,
      { client: id },
      'an MQTT client has too many connections: the oldest was ended',
    )
    const [oldest] = own
    if (oldest) live.delete(oldest)
    oldest?.close()
  }

  async function refusePublish(
    { kind, id }: ClientIdentity,
    topic: string,
    payload: Uint8Array,
  ): Promise<Error> {
    const cure =
      kind === 'node'
        ? 'a node publishes to its own two topics, a device to those of its bindings'
        : 'a program publishes nothing'
    const reason = `${kind} ${id} may not publish here: ${cure}`
    say.warn(`publish ${kind} ${id} ${topic}`, { client: id, topic }, reason)
    await countRefused(topic, 'topicUnknown', reason, payload)
    return new Error(reason)
  }

  /** Gives an error to close the connection with, or null once all is committed. */
  async function takePublish(client: Client | null, packet: PublishPacket): Promise<Error | null> {
    const identity = client && identities.get(client)
    if (closing || !identity) return new Error('the monitor is closing')
    const { topic } = packet
    const payload = typeof packet.payload === 'string' ? Buffer.from(packet.payload) : packet.payload
    if (!mayPublish(identity, topic, index)) return refusePublish(identity, topic, payload)
    const own = parseNodeTopic(topic)
    // A device's flag only asks the broker to keep the message: what it says is of now. A node never sets it.
    const retained = packet.retain && own?.kind === 'readings'
    const judged = judgeMessage(
      { topic, payload, retained, receivedMs: clock.nowMs(), deviceId: identity.id },
      index,
    )
    packet.retain = packet.retain && judged.status !== null
    try {
      await offers.offer(judged)
      return null
    } catch (cause) {
      say.warn(
        'commit',
        { reason: String(cause) },
        'readings could not be committed: not acknowledged, connections closed',
      )
      return new Error('not committed, so not acknowledged', { cause })
    }
  }

  function cutOversized(
    socket: Socket,
    client: Client,
    { bytes, topic, payloadHead }: OversizedPacket,
  ): void {
    const identity = identities.get(client)
    if (!identity) return void socket.destroy()
    const reason = `a packet of ${bytes} bytes was announced, but at most ${MAX_PAYLOAD_BYTES} of payload are taken: send smaller packs`
    say.warn(`size ${identity.id}`, { client: identity.id, topic, bytes }, reason)
    const shownTopic = topic ?? `${identity.kind}:${identity.id}`
    void countRefused(shownTopic, 'payloadTooLarge', reason, payloadHead).then(() => socket.destroy())
  }

  return {
    say,
    preConnect: (client, packet, callback) => {
      identify(toConnectRequest(packet), { verifyNode, verifyProgram, index: () => index }).then(
        (outcome) => {
          if ('returnCode' in outcome) refusals.set(client, outcome)
          else {
            identities.set(client, outcome)
            packet.clientId = keptClientId(outcome, packet.clientId)
            // Nothing is kept for a program that is away: it gets the retained states when it is back. Nor for a
            // client id of somebody's own choosing: one secret could fill the memory under ever new ones.
            if (outcome.kind === 'program' || packet.clientId !== outcome.id) packet.clean = true
            makeRoom(outcome)
            live.add(client)
            client.conn.once('close', () => live.delete(client))
          }
          callback(null, true)
        },
        (error: unknown) => callback(error instanceof Error ? error : new Error(String(error)), false),
      )
    },
    authenticate: (client, username, _password, callback) => {
      if (identities.has(client)) return callback(null, true)
      const { reason, returnCode } = refusals.get(client) ?? { reason: 'not identified', returnCode: 5 }
      say.warn(
        `connect ${username ?? ''}`,
        { username: username?.slice(0, 64) ?? null },
        `an MQTT connection was refused: ${reason}`,
      )
      callback(Object.assign(new Error(reason), { returnCode }), false)
    },
    authorizePublish: (client, packet, callback) => {
      void takePublish(client, packet).then(callback, callback)
    },
    authorizeSubscribe: (client, subscription, callback) => {
      const identity = identities.get(client)
      if (identity && maySubscribe(identity, subscription.topic, index)) return callback(null, subscription)
      say.warn(
        `subscribe ${client.id} ${subscription.topic}`,
        { client: client.id, topic: subscription.topic },
        'an MQTT subscription was refused',
      )
      callback(null, null)
    },
    mayHear: (client, topic) => identities.get(client)?.kind === 'program' && isStateTopic(topic, index.site),
    watch: (socket, client) =>
      guardSocket(socket, {
        maxBytes: () => (identities.has(client) ? MAX_PACKET_BYTES : MAX_CONNECT_BYTES),
        onOversized: (packet) => cutOversized(socket, client, packet),
      }),
    updateSettings: (settings) => {
      index = toMessageIndex(settings)
    },
    disconnect: (identity) => {
      for (const client of live) if (isOf(identities.get(client), identity)) client.close()
    },
    close: async () => {
      closing = true
      await offers.settled()
      // One turn more, so that what was just committed is acknowledged before the connections go.
      await new Promise((resolve) => setImmediate(resolve))
    },
  }
}

function isOf(known: ClientIdentity | undefined, { kind, id }: ClientIdentity): boolean {
  return known?.kind === kind && known.id === id
}

function toConnectRequest({
  clientId,
  username,
  password,
  will,
}: ConnectPacket): Parameters<typeof identify>[0] {
  return { clientId, username, password: password?.toString(), willTopic: will?.topic }
}
