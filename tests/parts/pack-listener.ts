import { connectAsync } from 'mqtt'
import { parseSenml, type ResolvedRecord } from '../../services/codecs/senml.ts'

export interface HeardPack {
  readonly sequence: number
  readonly boot: string
  readonly dropped: number
  readonly records: readonly ResolvedRecord[]
}

export interface PackListener {
  readonly packs: readonly HeardPack[]
  /** Payloads on status topics, in order, with their retain flag. */
  readonly statuses: readonly { readonly text: string; readonly retained: boolean }[]
  readonly close: () => Promise<void>
}

/** Hears all nodes of a broker as the monitor would, with a session that outlives a broken connection. */
export async function listenForPacks(
  url: string,
  options: { username?: string; password?: string; ca?: string } = {},
): Promise<PackListener> {
  const packs: HeardPack[] = []
  const statuses: { text: string; retained: boolean }[] = []
  const client = await connectAsync(url, {
    ...options,
    clientId: 'listener',
    clean: false,
    reconnectPeriod: 50,
    resubscribe: false,
  })
  client.on('error', () => undefined)
  client.on('message', (topic, payload, { retain }) => {
    const text = payload.toString()
    if (topic.endsWith('/status')) statuses.push({ text, retained: retain })
    else packs.push(toHeardPack(text))
  })
  await client.subscribeAsync('nightcap/#', { qos: 1 })
  return { packs, statuses, close: () => client.endAsync(true) }
}

function toHeardPack(text: string): HeardPack {
  const result = parseSenml(text, { nowMs: Date.now() })
  if (!result.ok) throw new Error(`a node sent a wrong pack: ${result.field} ${result.reason}`)
  const find = (end: string): unknown => result.records.find((r) => r.name.endsWith(`/${end}`))?.value.v
  return {
    sequence: Number(find('pack-sequence')),
    boot: String(find('boot')),
    dropped: Number(find('dropped') ?? 0),
    records: result.records,
  }
}
