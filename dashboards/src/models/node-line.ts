import type { NodeWayIn } from '../api/setup-api.ts'

/** What a new node measures, each with the channels that its config then holds. */
export const NODE_CHANNELS = {
  air: [
    { name: 'humidity', driver: 'iio', quantity: 'humidity' },
    { name: 'temperature', driver: 'iio', quantity: 'temperature' },
  ],
  // Counts in millions: what they mean in kg is told by the calibration on the page.
  scale: [
    {
      name: 'scale',
      driver: 'iio',
      device: 'hx711',
      channel: 'in_voltage0',
      quantity: 'mass',
      calibration: { rawZero: 0, rawKnown: 1_000_000, knownKg: 1 },
    },
  ],
  meter: [{ name: 'power', driver: 'hwmon', quantity: 'power' }],
  contact: [
    {
      name: 'mains',
      driver: 'contact',
      quantity: 'powered',
      path: '/sys/class/gpio/gpio17/value',
      activeLow: true,
    },
  ],
} as const
export type NodeChannel = keyof typeof NODE_CHANNELS

export const CHANNEL_WORDS: Readonly<Record<NodeChannel, string>> = {
  air: 'Humidity and temperature',
  scale: 'A scale under the bottle',
  meter: 'A power meter',
  contact: 'A contact that tells whether there is power',
}

export interface NodeLineParts {
  readonly id: string
  readonly secret: string
  readonly channels: readonly NodeChannel[]
  readonly wayIn: NodeWayIn
  /** The name by which this browser reached the board: the node may reach the broker by it too. */
  readonly pageHost: string
}

/**
 * One line for a shell on the node, in Nightcap's folder: it writes the config and the secret, and starts the node.
 *
 * LINE-1 the secret goes into a file that nobody else may read, and the line begins with a space, so that most shells
 *        do not keep it in their history.
 * LINE-2 `npx --no` never fetches anything.
 */
export function nodeLine(parts: NodeLineParts): string {
  const folder = `.node-${parts.id}`
  const write = (text: string, file: string): string => `printf %s ${quoted(text)} > ${folder}/${file}`
  const config = write(JSON.stringify(nodeConfig(parts)), 'node.yaml')
  return ` mkdir -p ${folder} && (umask 077; ${write(parts.secret, 'secret')}) && ${config} && npx --no nightcap sense --config ${folder}/node.yaml`
}

/** The config of the node; JSON is YAML too. */
export function nodeConfig({ id, channels, wayIn, pageHost }: NodeLineParts): unknown {
  const url = `${wayIn.encrypted ? 'mqtts' : 'mqtt'}://${hostFor(wayIn, pageHost)}:${wayIn.port}`
  const inTheClear = !wayIn.encrypted && !isLoopback(hostFor(wayIn, pageHost))
  return {
    site: wayIn.site,
    node: id,
    broker: { url, secretFile: 'secret', ...(inTheClear ? { allowPlaintext: true } : {}) },
    channels: channels.flatMap((channel): readonly object[] => NODE_CHANNELS[channel]),
    outbox: { directory: 'outbox' },
  }
}

/** What to know before the line is used, in sentences; empty where it works as it stands. */
export function wayInWords({ broker, thisComputerOnly, encrypted }: NodeWayIn): readonly string[] {
  const words: string[] = []
  if (broker === 'other')
    words.push('This shop uses a broker of its own: give the node its name and this secret there too.')
  if (thisComputerOnly)
    words.push(
      'As it is, only nodes on this computer get in. For a node elsewhere, start Nightcap with NIGHTCAP_MQTT_HOST=0.0.0.0 and a certificate (NIGHTCAP_MQTT_TLS_CERT_FILE, NIGHTCAP_MQTT_TLS_KEY_FILE), then open this page again.',
    )
  else if (encrypted)
    words.push(
      'Where its certificate is of an authority of your own, put that authority’s file (PEM) beside node.yaml and name it there as broker.caFile.',
    )
  else words.push('The broker is not encrypted: the secret crosses the network in the clear.')
  return words
}

function hostFor({ host, broker, thisComputerOnly }: NodeWayIn, pageHost: string): string {
  const isEverywhere = host === '0.0.0.0' || host === '::'
  if (broker === 'own' && !thisComputerOnly && isEverywhere) return pageHost
  return host.includes(':') && !host.startsWith('[') ? `[${host}]` : host
}

function isLoopback(host: string): boolean {
  return host === 'localhost' || host === '[::1]' || host.startsWith('127.')
}

/** A text in single quotes for a POSIX shell. */
function quoted(text: string): string {
  return `'${text.replaceAll("'", `'\\''`)}'`
}
