import { setTimeout as wait } from 'node:timers/promises'
import { connect, type IClientOptions, type MqttClient } from 'mqtt'
import { toSenmlJson } from '../services/codecs/senml.ts'
import { readingsTopic, statusTopic } from '../services/core/model/topics.ts'
import type { NodeClock } from './node-clock.ts'
import type { Outbox, OutboxEntry } from './outbox/outbox.ts'
import { packSenml } from './pack.ts'

export interface BrokerLinkOptions {
  /** `mqtt://host:port` or `mqtts://host:port`. */
  readonly url: string
  readonly site: string
  readonly node: string
  readonly secret: string
  /** The one authority to trust (PEM), instead of those of the system. */
  readonly ca?: string
  /** Closed by whoever opened it. */
  readonly outbox: Outbox
  readonly clock: NodeClock
  /** How often samples come: the promise that goes out as `ut`. */
  readonly everyMs: number
}

/** One connection, from its first packet to its end. */
export interface BrokerLink {
  /** Something new is in the outbox. */
  readonly wake: () => void
  readonly isUp: () => boolean
  /** Says `offline` and ends; waits a moment for the broker's word, no longer. */
  readonly close: () => Promise<void>
}

export interface BrokerLinkEvents {
  readonly onUp: () => void
  /** A pack has left the outbox: acknowledged, or past sending. */
  readonly onGone: () => void
  /** Called once, when it has ended for any reason but `close`. */
  readonly onDown: (error: unknown) => void
}

const IN_FLIGHT = 16
const CLOSE_WITHIN_MS = 2_000

/**
 * A client a connection, without the library's own reconnecting and storing: after a break all that was not
 * acknowledged is taken from the outbox again, so that there is one queue and one order.
 */
export function openBrokerLink(options: BrokerLinkOptions, events: BrokerLinkEvents): BrokerLink {
  const { outbox, site, node } = options
  const client = connect(options.url, clientOptions(options))
  let isUp = false
  let isClosing = false
  let isOver = false
  let inFlight = 0
  let sentId = 0
  let failure: unknown

  const end = (error: unknown): void => {
    failure ??= error
    client.end(true)
    finish()
  }
  const finish = (): void => {
    if (isOver) return
    isOver = true
    isUp = false
    if (!isClosing) events.onDown(failure)
  }
  const acknowledged = (entry: OutboxEntry): void => {
    inFlight--
    outbox.remove(entry.id)
    events.onGone()
    pump()
  }
  const giveUp = (entry: OutboxEntry): void => {
    outbox.drop(entry.id)
    events.onGone()
  }
  const send = (entry: OutboxEntry): void => {
    sentId = entry.id
    const { droppedPacks } = outbox.stats()
    const pack = packSenml(entry, { ...options, droppedPacks })
    if (!pack) return giveUp(entry)
    inFlight++
    publishText(
      client,
      { topic: readingsTopic(site, node), text: toSenmlJson(pack), retain: false },
      (error) => {
        if (isOver) return
        if (error) end(error)
        else acknowledged(entry)
      },
    )
  }
  const pump = (): void => {
    if (!isUp || isClosing) return
    try {
      for (const entry of outbox.peek({ afterId: sentId, limit: IN_FLIGHT - inFlight })) send(entry)
    } catch (error) {
      end(error)
    }
  }

  client.on('connect', () => {
    if (isOver || isClosing) return
    isUp = true
    publishText(client, { topic: statusTopic(site, node), text: 'online', retain: true }, () => undefined)
    events.onUp()
    pump()
  })
  client.on('error', end)
  client.on('close', finish)

  return {
    wake: pump,
    isUp: () => isUp,
    close: async () => {
      isClosing = true
      // The broker's word on packs in flight comes before its word on this, so they still leave the outbox.
      if (isUp) await sayOffline(client, statusTopic(site, node))
      isOver = true
      isUp = false
      await client.endAsync(true)
    },
  }
}

function clientOptions({ site, node, secret, ca }: BrokerLinkOptions): IClientOptions {
  return {
    protocolVersion: 4,
    clientId: node,
    username: node,
    password: secret,
    clean: true,
    reconnectPeriod: 0,
    connectTimeout: 10_000,
    keepalive: 30,
    will: { topic: statusTopic(site, node), payload: Buffer.from('offline'), qos: 1, retain: true },
    rejectUnauthorized: true,
    ...(ca === undefined ? {} : { ca }),
  }
}

interface Message {
  readonly topic: string
  readonly text: string
  readonly retain: boolean
}

function publishText(
  client: MqttClient,
  { topic, text, retain }: Message,
  done: (error?: Error) => void,
): void {
  client.publish(topic, text, { qos: 1, retain }, (error) => done(error ?? undefined))
}

/** Waits for the broker's word, no longer than a moment: a connection that ends without leaves it to the last will. */
async function sayOffline(client: MqttClient, topic: string): Promise<void> {
  const over = new AbortController()
  const tooLong = wait(CLOSE_WITHIN_MS, undefined, { signal: over.signal }).catch(() => undefined)
  const said = new Promise<boolean>((resolve) => {
    publishText(client, { topic, text: 'offline', retain: true }, (error) => resolve(!error))
  })
  const ended = said.then((ok) => (ok ? client.endAsync(false) : undefined)).catch(() => undefined)
  await Promise.race([ended, tooLong])
  over.abort()
}
