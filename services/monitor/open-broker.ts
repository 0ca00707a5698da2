import { createEmbeddedBroker } from '../adapters/mqtt/embedded-broker.ts'
import { createExternalBroker } from '../adapters/mqtt/external-broker.ts'
import type { MqttDoor } from '../adapters/mqtt/mqtt-door.ts'
import type { AccountStore } from '../core/model/ports/accounts.ts'
import type { Clock } from '../core/model/ports/clock.ts'
import type { IngestSink } from '../core/model/ports/ingest.ts'
import type { WayIn } from '../core/model/ports/monitor.ts'
import type { Settings } from '../core/model/settings.ts'
import { isLoopback, type MonitorConfig } from './config.ts'
import type { Log } from './log.ts'
import { readSecret } from './read-config.ts'
import { matchesSecret } from './secret-hash.ts'

export interface BrokerParts {
  readonly config: MonitorConfig
  readonly settings: Settings
  readonly accounts: Pick<AccountStore, 'credential'>
  readonly sink: IngestSink
  readonly clock: Clock
  readonly log: Log
}

export interface OpenBroker {
  readonly door: MqttDoor
  /** A node's secret was replaced or revoked: what came in with the old one ends. */
  readonly disconnectNode: (nodeId: string) => void
  /** Port of the embedded broker, or null. */
  readonly port: number | null
  /** Why nothing comes in, with the cure; none while the way in is open. */
  readonly troubles: () => readonly string[]
  /** For the console: where sensor nodes find it. */
  readonly sentence: string
  /** For the page that adds a node: the same, in parts. */
  readonly wayIn: WayIn
}

/** The embedded broker, or a connection to the one that the configuration names. */
export async function openBroker({
  config,
  settings,
  accounts,
  sink,
  clock,
  log,
}: BrokerParts): Promise<OpenBroker> {
  const { broker } = config
  if (broker.kind === 'external') {
    const { url, username, caFile } = broker
    const door = createExternalBroker({
      url,
      username,
      password: readSecret(broker.password),
      ...(caFile === null ? {} : { caFile }),
      allowPlaintext: config.plaintextBeyondLoopback,
      settings,
      sink,
      clock,
      log,
    })
    return {
      door,
      port: null,
      disconnectNode: () => undefined,
      troubles: () => (door.connected() ? [] : door.problems().slice(-1)),
      sentence: `Listening to the broker at ${url}.`,
      wayIn: wayInOf(new URL(url)),
    }
  }
  const verify = (kind: 'node' | 'program') => (id: string, secret: string) =>
    matchesSecret(accounts.credential(kind, id), secret)
  const door = await createEmbeddedBroker({
    host: broker.host,
    port: broker.port,
    ...(broker.tls ? { tls: broker.tls } : {}),
    allowPlaintext: config.plaintextBeyondLoopback,
    verifyNode: verify('node'),
    verifyProgram: verify('program'),
    settings,
    sink,
    clock,
    log,
  })
  const scheme = broker.tls ? 'mqtts' : 'mqtt'
  const where = isLoopback(broker.host) ? ' (this computer only)' : ''
  const disconnectNode = (id: string): void => door.disconnect({ kind: 'node', id })
  return {
    door,
    port: door.port,
    disconnectNode,
    troubles: () => [],
    sentence: `Sensor nodes publish to ${scheme}://${broker.host}:${door.port}${where}.`,
    wayIn: {
      broker: 'own',
      host: broker.host,
      port: door.port,
      encrypted: broker.tls !== null,
      thisComputerOnly: isLoopback(broker.host),
    },
  }
}

const MQTT_PORT = 1883
const MQTTS_PORT = 8883

function wayInOf({ protocol, hostname, port }: URL): WayIn {
  const encrypted = protocol === 'mqtts:'
  const usual = encrypted ? MQTTS_PORT : MQTT_PORT
  const thisComputerOnly = isLoopback(hostname)
  return {
    broker: 'other',
    host: hostname,
    port: port === '' ? usual : Number(port),
    encrypted,
    thisComputerOnly,
  }
}
