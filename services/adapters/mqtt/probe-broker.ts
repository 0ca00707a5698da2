import { connectAsync, type IClientOptions, type MqttClient } from 'mqtt'
import { readingsTopic } from '../../core/model/topics.ts'

export interface BrokerProbe {
  /** Whether it lets the monitor in; else why not, as the broker says it. */
  readonly letsIn: true | string
  /** Somebody without name and password got in. */
  readonly letsStrangersIn: boolean
  /** What became of a publish that the monitor's own rights forbid; null where it could not be tried. */
  readonly forbiddenPublish: 'refused' | 'taken' | null
}

export interface ProbeParts {
  readonly url: string
  readonly username: string
  readonly password: string
  readonly ca?: Buffer | undefined
  readonly site: string
  readonly waitMs: number
}

/** MQTT 5, table 2-6: the broker's word that it did not take a publish for want of rights. */
const NOT_AUTHORISED = 0x87
/** A node that no shop has; nothing is on record of it even where the broker takes the message. */
const NOBODY = 'nightcap-check'

/**
 * Tries at a broker what must work and what must not.
 *
 * PROBE-1 with the monitor's name and password a connection is made, under a client id of its own.
 * PROBE-2 without any, it must be refused.
 * PROBE-3 an empty pack to a node's readings must be refused: nobody but that node may speak for it. Told by MQTT 5's
 *         reason code; a broker of 3.1.1 says nothing of it, and the answer is null.
 */
export async function probeBroker(parts: ProbeParts): Promise<BrokerProbe> {
  const { username, password } = parts
  const stranger = await enter(parts, {})
  const letsStrangersIn = typeof stranger !== 'string'
  if (letsStrangersIn) await stranger.endAsync(true)
  const client = await enter(parts, { username, password })
  if (typeof client === 'string') return { letsIn: client, letsStrangersIn, forbiddenPublish: null }
  try {
    return { letsIn: true, letsStrangersIn, forbiddenPublish: await tryForbidden(client, parts) }
  } finally {
    await client.endAsync(true)
  }
}

async function enter(
  { url, ca, waitMs }: ProbeParts,
  who: Pick<IClientOptions, 'username' | 'password'>,
): Promise<MqttClient | string> {
  try {
    return await connectAsync(url, {
      ...who,
      ...(ca === undefined ? {} : { ca }),
      clientId: `${NOBODY}-${Math.round(performance.now() * 1000).toString(36)}`,
      protocolVersion: 5,
      clean: true,
      reconnectPeriod: 0,
      connectTimeout: waitMs,
    })
  } catch (error) {
    return error instanceof Error && error.message !== '' ? error.message : 'no answer'
  }
}

async function tryForbidden(
  client: MqttClient,
  { site, waitMs }: ProbeParts,
): Promise<BrokerProbe['forbiddenPublish']> {
  const outcome = client.publishAsync(readingsTopic(site, NOBODY), '[]', { qos: 1 }).then(
    (packet) =>
      packet && 'reasonCode' in packet && packet.reasonCode === NOT_AUTHORISED ? 'refused' : 'taken',
    // The client library tells of a PUBACK with an error code by rejecting; a broker may also hang up.
    () => 'refused' as const,
  )
  const tooLong = new Promise<null>((resolve) => setTimeout(() => resolve(null), waitMs).unref())
  return Promise.race([outcome, tooLong])
}
