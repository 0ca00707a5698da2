import type { EventEmitter } from 'node:events'
import { Aedes } from 'aedes'
import { type BrokerGateParts, createBrokerGate } from './broker-gate.ts'
import type { ClientIdentity } from './client-identity.ts'
import type { MqttDoor } from './mqtt-door.ts'
import { openServer } from './open-server.ts'
import { plaintextWarning } from './plaintext.ts'

export interface EmbeddedBrokerParts extends BrokerGateParts {
  readonly host: string
  /** 0 takes any free port. */
  readonly port: number
  readonly tls?: { readonly certFile: string; readonly keyFile: string } | undefined
  /** Beyond loopback without TLS: only if the owner said so. */
  readonly allowPlaintext?: boolean
  /** How long a new connection may take to say who it is. */
  readonly connectTimeoutMs?: number
  readonly maxConnections?: number
}

export interface EmbeddedBroker extends MqttDoor {
  readonly port: number
  /** Ends the connections of a node or program, for when its secret was revoked. */
  readonly disconnect: (identity: ClientIdentity) => void
}

/**
 * An MQTT 3.1.1 broker inside the monitor.
 *
 * EB-1 a publish is acknowledged only after the sink has committed it; if that fails, the connection is closed instead.
 * EB-2 what a client may not publish is counted in quarantine, and its connection is closed.
 * EB-3 what may be published but can never be valid is counted in quarantine and acknowledged.
 * EB-4 nothing but node status and our own states of machines is retained.
 *
 * @throws {PlaintextRefusedError | MqttListenError}
 */
export async function createEmbeddedBroker(parts: EmbeddedBrokerParts): Promise<EmbeddedBroker> {
  const { host, log } = parts
  const warning = plaintextWarning({
    host,
    encrypted: parts.tls !== undefined,
    allowPlaintext: parts.allowPlaintext ?? false,
  })
  const gate = createBrokerGate(parts)
  const broker = await Aedes.createBroker({
    connectTimeout: parts.connectTimeoutMs ?? 10_000,
    maxClientsIdLength: 200,
    preConnect: gate.preConnect,
    authenticate: gate.authenticate,
    authorizePublish: gate.authorizePublish,
    authorizeSubscribe: gate.authorizeSubscribe,
    authorizeForward: (client, packet) => (gate.mayHear(client, packet.topic) ? packet : null),
  })
  broker.on('clientError', (client, error) =>
    gate.say.warn(
      `error ${client.id}`,
      { client: client.id, reason: error.message },
      'an MQTT connection ended',
    ),
  )
  broker.on('connectionError', (_, error) =>
    gate.say.warn('connection', { reason: error.message }, 'an MQTT connection was refused'),
  )
  // Emitted, but missing from its types; without a listener it would end the process.
  const emitter: EventEmitter = broker
  emitter.on('error', (error: Error) => log.error({ reason: error.message }, 'the MQTT broker failed'))

  const server = await openServer({
    host,
    port: parts.port,
    tls: parts.tls ?? null,
    maxConnections: parts.maxConnections ?? 2_000,
    onSocket: (socket) => gate.watch(socket, broker.handle(socket)),
    onHandshakeFailed: (error) => gate.say.warn('tls', { reason: error.message }, 'a TLS handshake failed'),
  }).catch(async (error: unknown) => {
    await closeBroker(broker)
    throw error
  })

  return {
    port: server.port,
    publishState: (topic, payload) =>
      new Promise((resolve, reject) => {
        const packet = { cmd: 'publish', topic, payload, qos: 1, dup: false, retain: true } as const
        broker.publish(packet, (error) => (error ? reject(error) : resolve()))
      }),
    updateSettings: gate.updateSettings,
    disconnect: gate.disconnect,
    problems: () => (warning === null ? [] : [warning]),
    close: async () => {
      const gone = server.close()
      await gate.close()
      await closeBroker(broker)
      await gone
    },
  }

  function closeBroker(open: Aedes): Promise<void> {
    return new Promise((resolve) => open.close(resolve))
  }
}
