import mqtt, { type IClientOptions, type IPublishPacket, type MqttClient } from 'mqtt'
import { brokerProblem, speaksOnly311 } from './broker-problem.ts'

const SESSION_EXPIRY_S = 7 * 24 * 3600
/** Messages that the broker may send ahead of our acknowledgements. */
const RECEIVE_MAXIMUM = 1_000
const FIRST_RETRY_MS = 1_000
const LONGEST_RETRY_MS = 30_000
/** A broker that does not answer is left without a goodbye after this long. */
const END_WITHIN_MS = 1_000

export interface LinkParts {
  readonly url: string
  /** The address as it may be shown: without user name and password. */
  readonly address: string
  readonly username: string | undefined
  readonly password: string | undefined
  readonly ca: Buffer | undefined
  readonly clientId: string
  readonly protocolVersion: 4 | 5
  readonly maxPacketBytes: number
  readonly filters: readonly string[]
  /** Should the broker send what it has retained? Of several connections that share, one is enough. */
  readonly wantsRetained: boolean
  /** Resolves once the message may be acknowledged; rejects if it must come again. */
  readonly take: (packet: IPublishPacket) => Promise<void>
  readonly onConnected: (link: ExternalLink) => void
  readonly onProblem: (problem: string | null) => void
  readonly onOnly311: () => void
}

/** One connection to an external broker, with a session that the broker keeps. */
export interface ExternalLink {
  readonly setFilters: (filters: readonly string[]) => void
  /** Publishes retained; resolves when acknowledged, rejects when not connected or the connection is lost before. */
  readonly publish: (topic: string, body: string) => Promise<void>
  /** Takes nothing new from now on. What is under way is still acknowledged. */
  readonly stopTaking: () => void
  readonly connected: () => boolean
  readonly end: () => Promise<void>
}

export function createExternalLink(parts: LinkParts): ExternalLink {
  const client = mqtt.connect(parts.url, toOptions(parts))
  let filters = parts.filters
  /** Filters that the broker's session may still hold from before. */
  let dropped: string[] = []
  let taking = true
  let failures = 0
  /** Did we close the connection, because a commit had failed? */
  let cut = false
  let problem: string | null = null

  const note = (next: string | null): void => {
    problem = next
    parts.onProblem(next)
  }
  const backOff = (): void => {
    client.options.reconnectPeriod = Math.min(FIRST_RETRY_MS * 2 ** failures++, LONGEST_RETRY_MS)
  }

  /**
   * EX-1 the callback, and with it PUBACK, comes only after the commit, and only on the connection that brought the
   *      message: on another the number of the message may stand for another message.
   * EX-2 without a commit the connection is closed, so that the broker sends it again.
   */
  client.handleMessage = (packet, callback) => {
    if (!taking) return
    const { stream } = client
    parts.take(packet).then(
      () => {
        failures = 0
        if (client.stream === stream && client.connected) callback()
      },
      () => {
        cut = true
        stream.destroy()
      },
    )
  }

  client.on('connect', () => {
    // After a failed commit only a good one shortens the wait again.
    if (!cut) failures = 0
    cut = false
    note(null)
    if (dropped.length > 0) client.unsubscribe(dropped.splice(0))
    subscribe(client, filters, parts, note)
    parts.onConnected(link)
  })
  client.on('error', (error: Error & { code?: number | string }) => {
    if (parts.protocolVersion === 5 && speaksOnly311(error)) parts.onOnly311()
    else note(brokerProblem(parts.address, error))
  })
  client.on('close', backOff)
  client.on('offline', () => {
    if (!cut && problem === null) note(brokerProblem(parts.address, { message: 'the connection was lost' }))
  })

  const link: ExternalLink = {
    setFilters: (next) => {
      const gone = filters.filter((f) => !next.includes(f))
      const added = next.filter((f) => !filters.includes(f))
      filters = next
      if (!client.connected) dropped = [...dropped, ...gone].filter((f) => !next.includes(f))
      else {
        if (gone.length > 0) client.unsubscribe(gone)
        subscribe(client, added, parts, note)
      }
    },
    publish: (topic, body) => publishRetained(client, topic, body),
    stopTaking: () => {
      taking = false
    },
    connected: () => client.connected,
    end: async () => {
      taking = false
      const patience = new Promise((resolve) => setTimeout(resolve, END_WITHIN_MS).unref())
      await Promise.race([client.endAsync(!client.connected), patience])
      client.end(true)
    },
  }
  return link
}

function toOptions({
  clientId,
  protocolVersion,
  username,
  password,
  ca,
  maxPacketBytes,
}: LinkParts): IClientOptions {
  const properties = {
    sessionExpiryInterval: SESSION_EXPIRY_S,
    receiveMaximum: RECEIVE_MAXIMUM,
    maximumPacketSize: maxPacketBytes,
  }
  return {
    clientId,
    protocolVersion,
    clean: false,
    keepalive: 30,
    connectTimeout: 10_000,
    reconnectPeriod: FIRST_RETRY_MS,
    reconnectOnConnackError: true,
    resubscribe: false,
    queueQoSZero: false,
    ...(username === undefined ? {} : { username }),
    ...(password === undefined ? {} : { password }),
    ...(ca === undefined ? {} : { ca }),
    ...(protocolVersion === 5 ? { properties } : {}),
  }
}

function publishRetained(client: MqttClient, topic: string, body: string): Promise<void> {
  return new Promise((resolve, reject) => {
    const lost = (): void => reject(new Error('not connected to the MQTT broker'))
    if (!client.connected) return lost()
    client.once('close', lost)
    client.publish(topic, body, { qos: 1, retain: true }, (error) => {
      client.off('close', lost)
      if (error) reject(error)
      else resolve()
    })
  })
}

/** QoS 1 at most: at QoS 2 the client would confirm a message before it is committed. */
function subscribe(
  client: MqttClient,
  filters: readonly string[],
  { address, wantsRetained, protocolVersion }: LinkParts,
  note: (problem: string) => void,
): void {
  if (filters.length === 0) return
  // Retain handling, MQTT 5 section 3.8.3.1: 2 is none.
  const options = { qos: 1 as const, ...(protocolVersion === 5 ? { rh: wantsRetained ? 0 : 2 } : {}) }
  client.subscribe([...filters], options, (error, granted) => {
    if (!client.connected) return
    const refused = granted?.filter((g) => g.qos >= 128).map((g) => g.topic) ?? []
    if (!error && refused.length === 0) return
    const which = refused.length > 0 ? refused.join(', ') : filters.join(', ')
    note(`MQTT broker ${address}: it refuses to let us read ${which}: allow this user to read those topics`)
  })
}
