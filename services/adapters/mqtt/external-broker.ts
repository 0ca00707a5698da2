import { readFileSync } from 'node:fs'
import type { IPublishPacket } from 'mqtt'
import type { Clock } from '../../core/model/ports/clock.ts'
import type { IngestSink } from '../../core/model/ports/ingest.ts'
import type { Settings } from '../../core/model/settings.ts'
import { readingsTopic, statusTopic } from '../../core/model/topics.ts'
import { createExternalLink, type ExternalLink } from './external-link.ts'
import { judgeMessage, MAX_PAYLOAD_BYTES } from './judge-message.ts'
import { toMessageIndex } from './message-index.ts'
import type { MqttDoor } from './mqtt-door.ts'
import { createOffers } from './offers.ts'
import { plaintextWarning } from './plaintext.ts'
import { createSparingLog, type MqttLog } from './sparing-log.ts'
import { withoutCoveredFilters } from './topic-filter.ts'

/** The address or the authority's file cannot be used. */
export class MqttAddressError extends Error {
  override readonly name = 'MqttAddressError'
  readonly code = 'MQTT_ADDRESS_WRONG'
}

export interface ExternalBrokerParts {
  /** `mqtt://host:port` or `mqtts://host:port`. */
  readonly url: string
  readonly username?: string | undefined
  readonly password?: string | undefined
  /** PEM file of the authority that signed the broker's certificate. */
  readonly caFile?: string | undefined
  /** Beyond loopback without TLS: only if the owner said so. */
  readonly allowPlaintext?: boolean
  /** Connections that share the load (MQTT 5), so that one commit gathers many messages. Starting value 8. */
  readonly connections?: number
  readonly settings: Settings
  readonly sink: IngestSink
  readonly clock: Clock
  readonly log: MqttLog
  /** Called when the problems have changed. */
  readonly onState?: (problems: readonly string[]) => void
}

/** Twice the payload limit: the broker keeps longer packets to itself (MQTT 5 section 3.1.2.11.4). */
const MAX_PACKET_BYTES = 2 * MAX_PAYLOAD_BYTES

/**
 * Readings from a broker that someone else runs. Never gives up trying to reach it.
 *
 * EX-1, EX-2 see `createExternalLink`.
 * EX-3 readings and foreign topics come through a shared subscription over all connections; status, whose retained
 *      messages are wanted and which a shared subscription never gives (MQTT 5 section 4.8.2), through the first alone.
 * EX-4 with a broker that speaks only 3.1.1: one connection, no shared subscription.
 *
 * @throws {PlaintextRefusedError | MqttAddressError}
 */
export function createExternalBroker(
  parts: ExternalBrokerParts,
): MqttDoor & { readonly connected: () => boolean } {
  const { log, clock } = parts
  const { address, host, encrypted } = checkedAddress(parts.url)
  const warning = plaintextWarning({ host, encrypted, allowPlaintext: parts.allowPlaintext ?? false })
  const ca = parts.caFile === undefined ? undefined : readAuthority(parts.caFile)
  const say = createSparingLog(parts)
  const offers = createOffers(parts.sink)
  const states = new Map<string, string>()
  const problemOf = new Map<number, string>()
  let index = toMessageIndex(parts.settings)
  let links: ExternalLink[] = []
  let reopened: Promise<void> = Promise.resolve()
  let problem: string | null = null
  let everConnected = false
  let shared = true
  let closing = false

  const problems = (): readonly string[] => [warning, problem].filter((p) => p !== null)

  /** Says a problem once, whatever the number of connections that have it. */
  function noteProblem(n: number, text: string | null): void {
    if (text === null) problemOf.delete(n)
    else problemOf.set(n, text)
    const next = [...problemOf.values()][0] ?? null
    if (closing || (next === problem && (next !== null || everConnected))) return
    problem = next
    if (next === null) log.info({ address }, 'connected to the MQTT broker')
    else log.warn({ address }, next)
    everConnected ||= next === null
    parts.onState?.(problems())
  }

  async function take({ topic, payload, retain }: IPublishPacket): Promise<void> {
    const bytes = typeof payload === 'string' ? Buffer.from(payload) : payload
    const judged = judgeMessage({ topic, payload: bytes, retained: retain, receivedMs: clock.nowMs() }, index)
    try {
      await offers.offer(judged)
    } catch (error) {
      say.warn(
        'commit',
        { reason: String(error) },
        'readings could not be committed: not acknowledged, connection closed',
      )
      throw error
    }
  }

  function filtersOf(n: number): readonly string[] {
    const status = statusTopic(index.site, '+')
    const spread = [readingsTopic(index.site, '+'), ...withoutCoveredFilters(index.foreignFilters)]
    if (!shared) return [status, ...spread]
    const group = spread.map((filter) => `$share/nightcap-${index.site}/${filter}`)
    return n === 1 ? [status, ...group] : group
  }

  function openLink(n: number, protocolVersion: 4 | 5): ExternalLink {
    return createExternalLink({
      url: parts.url,
      address,
      username: parts.username,
      password: parts.password,
      ca,
      clientId: `nightcap-${index.site}-${n}`,
      protocolVersion,
      maxPacketBytes: MAX_PACKET_BYTES,
      filters: filtersOf(n),
      wantsRetained: n === 1,
      take,
      onConnected: (link) => {
        // The broker may have lost what it had retained.
        if (n === 1) for (const [topic, body] of states) link.publish(topic, body).catch(() => undefined)
      },
      onProblem: (text) => noteProblem(n, text),
      onOnly311: fallBack,
    })
  }

  function open(): void {
    const count = shared ? (parts.connections ?? 8) : 1
    links = Array.from({ length: count }, (_, i) => openLink(i + 1, shared ? 5 : 4))
  }

  function fallBack(): void {
    if (!shared || closing) return
    shared = false
    log.warn(
      { address },
      'the MQTT broker does not speak MQTT 5: one connection carries all, so it takes in less',
    )
    reopen()
  }

  function reopen(): void {
    reopened = reopened.then(async () => {
      await endAll()
      if (!closing) open()
    })
  }

  async function endAll(): Promise<void> {
    await Promise.all(links.splice(0).map((link) => link.end()))
    problemOf.clear()
  }

  open()
  return {
    connected: () => links.some((link) => link.connected()),
    problems,
    publishState: (topic, body) => {
      states.set(topic, body)
      return links[0]?.publish(topic, body) ?? Promise.reject(new Error('not connected to the MQTT broker'))
    },
    updateSettings: (settings) => {
      const { site } = index
      index = toMessageIndex(settings)
      if (index.site !== site) reopen()
      else links.forEach((link, i) => link.setFilters(filtersOf(i + 1)))
    },
    close: async () => {
      closing = true
      for (const link of links) link.stopTaking()
      await offers.settled()
      // One turn more, so that what was just committed is acknowledged before the connections go.
      await new Promise((resolve) => setImmediate(resolve))
      await reopened
      await endAll()
    },
  }
}

function checkedAddress(url: string): { address: string; host: string; encrypted: boolean } {
  const parsed = URL.canParse(url) ? new URL(url) : null
  if (!parsed || !['mqtt:', 'mqtts:'].includes(parsed.protocol) || parsed.hostname === '') {
    throw new MqttAddressError(
      'the address of the MQTT broker must look like mqtt://host:1883 or mqtts://host:8883',
    )
  }
  if (parsed.username !== '' || parsed.password !== '') {
    throw new MqttAddressError(
      'give user name and password apart from the address of the MQTT broker: addresses are logged',
    )
  }
  return { address: parsed.host, host: parsed.hostname, encrypted: parsed.protocol === 'mqtts:' }
}

function readAuthority(caFile: string): Buffer {
  try {
    return readFileSync(caFile)
  } catch (cause) {
    throw new MqttAddressError(
      `cannot read ${caFile}: give the PEM file of the authority of the MQTT broker`,
      { cause },
    )
  }
}
