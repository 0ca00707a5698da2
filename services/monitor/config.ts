import { z } from 'zod'
import type { TlsFiles } from './tls-files.ts'

/** One environment variable: its default and what it is for; `check` prints them all. */
export interface EnvironmentVariable {
  readonly name: string
  readonly fallback: string
  readonly meaning: string
  readonly secret?: true
}

export const ENVIRONMENT = [
  { name: 'NIGHTCAP_DATA_DIR', fallback: '.nightcap', meaning: 'folder of the book of record' },
  {
    name: 'NIGHTCAP_BACKUP_DIR',
    fallback: '',
    meaning: 'folder of backups that are given no name; empty: the data folder with -backups at its end',
  },
  { name: 'NIGHTCAP_HTTP_HOST', fallback: '127.0.0.1', meaning: 'address the board listens on' },
  {
    name: 'NIGHTCAP_HTTP_PORT',
    fallback: '8080',
    meaning: 'port the board listens on; 0 takes any free one',
  },
  {
    name: 'NIGHTCAP_ALLOWED_HOSTS',
    fallback: '',
    meaning: 'further names the board may be called by, with commas between',
  },
  {
    name: 'NIGHTCAP_TRUSTED_PROXIES',
    fallback: '',
    meaning: 'addresses of proxies whose X-Forwarded-For is believed, with commas between',
  },
  {
    name: 'NIGHTCAP_SECURE_COOKIES',
    fallback: 'no',
    meaning: 'yes when a proxy serves the board over https',
  },
  {
    name: 'NIGHTCAP_HTTP_TLS_CERT_FILE',
    fallback: '',
    meaning: 'certificate of the board (PEM): then it speaks https, without a proxy',
  },
  { name: 'NIGHTCAP_HTTP_TLS_KEY_FILE', fallback: '', meaning: 'key to that certificate (PEM)' },
  { name: 'NIGHTCAP_MQTT_HOST', fallback: '127.0.0.1', meaning: 'address the embedded broker listens on' },
  {
    name: 'NIGHTCAP_MQTT_PORT',
    fallback: '1883',
    meaning: 'port of the embedded broker; 0 takes any free one',
  },
  {
    name: 'NIGHTCAP_MQTT_TLS_CERT_FILE',
    fallback: '',
    meaning: 'certificate of the embedded broker (PEM): then it speaks mqtts',
  },
  { name: 'NIGHTCAP_MQTT_TLS_KEY_FILE', fallback: '', meaning: 'key to that certificate (PEM)' },
  {
    name: 'NIGHTCAP_ALLOW_PLAINTEXT',
    fallback: 'no',
    meaning: 'yes lets MQTT go beyond this computer without TLS; the board keeps saying so',
  },
  {
    name: 'NIGHTCAP_MQTT_URL',
    fallback: '',
    meaning: 'another broker to use instead of the embedded one, mqtt:// or mqtts://',
  },
  { name: 'NIGHTCAP_MQTT_USERNAME', fallback: 'monitor', meaning: 'user name at that broker' },
  { name: 'NIGHTCAP_MQTT_PASSWORD', fallback: '', meaning: 'password at that broker', secret: true },
  { name: 'NIGHTCAP_MQTT_PASSWORD_FILE', fallback: '', meaning: 'file that holds the password instead' },
  {
    name: 'NIGHTCAP_MQTT_CA_FILE',
    fallback: '',
    meaning: 'certificate authority to trust for that broker (PEM)',
  },
  {
    name: 'NIGHTCAP_INFLUX_URL',
    fallback: '',
    meaning: 'InfluxDB that gets every reading too, https://; empty keeps readings here alone',
  },
  { name: 'NIGHTCAP_INFLUX_ORG', fallback: 'shop', meaning: 'organisation at that InfluxDB' },
  { name: 'NIGHTCAP_INFLUX_BUCKET', fallback: 'nightcap', meaning: 'bucket at that InfluxDB' },
  {
    name: 'NIGHTCAP_INFLUX_TOKEN',
    fallback: '',
    meaning: 'token that may write to that bucket and read it',
    secret: true,
  },
  { name: 'NIGHTCAP_INFLUX_TOKEN_FILE', fallback: '', meaning: 'file that holds the token instead' },
  {
    name: 'NIGHTCAP_HISTORY_FROM',
    fallback: 'book',
    meaning:
      'influx lets that InfluxDB tell the past of sensors; book asks it only for what is kept here no longer',
  },
  {
    name: 'NIGHTCAP_PUBLIC_URL',
    fallback: '',
    meaning: 'https address the board is reached by from outside, for answers to notices',
  },
  {
    name: 'NIGHTCAP_KEY_FILE',
    fallback: '',
    meaning: 'key that seals passwords, outside the data folder; empty: the data folder with -key at its end',
  },
  {
    name: 'NIGHTCAP_HEARTBEAT_URL',
    fallback: '',
    meaning: 'address that is told every few minutes that the monitor lives; empty tells nobody',
    secret: true,
  },
  { name: 'NIGHTCAP_HEARTBEAT_URL_FILE', fallback: '', meaning: 'file that holds that address instead' },
  { name: 'NIGHTCAP_HEARTBEAT_METHOD', fallback: 'POST', meaning: 'GET or POST, as that place wants it' },
  {
    name: 'NIGHTCAP_HEARTBEAT_MINUTES',
    fallback: '5',
    meaning: 'minutes between two signs of life, 1 to 60',
  },
  {
    name: 'NIGHTCAP_HEARTBEAT_PRIVATE',
    fallback: 'no',
    meaning: 'yes lets signs of life go to an address within a private network, or in the clear',
  },
  { name: 'NIGHTCAP_LOG_LEVEL', fallback: 'info', meaning: 'error, warn, info or debug' },
] as const satisfies readonly EnvironmentVariable[]

type Name = (typeof ENVIRONMENT)[number]['name']

const portSchema = z.coerce
  .number({ error: 'give a port number' })
  .int()
  .min(0)
  .max(65_535, { error: 'give a port from 0 to 65535' })
const yesSchema = z.enum(['yes', 'no'], { error: 'write yes or no' }).transform((text) => text === 'yes')
const textSchema = z.string().trim()
const listSchema = textSchema.transform((text) =>
  text
    .split(',')
    .map((t) => t.trim())
    .filter((t) => t !== ''),
)
const urlSchema = (schemes: readonly string[]) =>
  textSchema.refine(
    (text) => text === '' || schemes.some((s) => text.startsWith(`${s}://`) && URL.canParse(text)),
    {
      error: `write an address that begins with ${schemes.map((s) => `${s}://`).join(' or ')}`,
    },
  )

const environmentSchema = z.object({
  NIGHTCAP_DATA_DIR: textSchema.min(1, { error: 'name a folder' }),
  NIGHTCAP_BACKUP_DIR: textSchema,
  NIGHTCAP_HTTP_HOST: textSchema.min(1, { error: 'name an address' }),
  NIGHTCAP_HTTP_PORT: portSchema,
  NIGHTCAP_ALLOWED_HOSTS: listSchema,
  NIGHTCAP_TRUSTED_PROXIES: listSchema,
  NIGHTCAP_SECURE_COOKIES: yesSchema,
  NIGHTCAP_HTTP_TLS_CERT_FILE: textSchema,
  NIGHTCAP_HTTP_TLS_KEY_FILE: textSchema,
  NIGHTCAP_MQTT_HOST: textSchema.min(1, { error: 'name an address' }),
  NIGHTCAP_MQTT_PORT: portSchema,
  NIGHTCAP_MQTT_TLS_CERT_FILE: textSchema,
  NIGHTCAP_MQTT_TLS_KEY_FILE: textSchema,
  NIGHTCAP_ALLOW_PLAINTEXT: yesSchema,
  NIGHTCAP_MQTT_URL: urlSchema(['mqtt', 'mqtts']),
  NIGHTCAP_MQTT_USERNAME: textSchema,
  NIGHTCAP_MQTT_PASSWORD: z.string(),
  NIGHTCAP_MQTT_PASSWORD_FILE: textSchema,
  NIGHTCAP_MQTT_CA_FILE: textSchema,
  NIGHTCAP_INFLUX_URL: urlSchema(['http', 'https']),
  NIGHTCAP_INFLUX_ORG: textSchema.min(1, { error: 'name an organisation' }),
  NIGHTCAP_INFLUX_BUCKET: textSchema.min(1, { error: 'name a bucket' }),
  NIGHTCAP_INFLUX_TOKEN: z.string(),
  NIGHTCAP_INFLUX_TOKEN_FILE: textSchema,
  NIGHTCAP_HISTORY_FROM: z.enum(['book', 'influx'], { error: 'write book or influx' }),
  NIGHTCAP_PUBLIC_URL: urlSchema(['https']),
  NIGHTCAP_KEY_FILE: textSchema,
  NIGHTCAP_HEARTBEAT_URL: urlSchema(['https', 'http']),
  NIGHTCAP_HEARTBEAT_URL_FILE: textSchema,
  NIGHTCAP_HEARTBEAT_METHOD: z.enum(['GET', 'POST'], { error: 'write GET or POST' }),
  NIGHTCAP_HEARTBEAT_MINUTES: z.coerce
    .number({ error: 'give minutes' })
    .min(1, { error: 'give 1 to 60 minutes' })
    .max(60, { error: 'give 1 to 60 minutes' }),
  NIGHTCAP_HEARTBEAT_PRIVATE: yesSchema,
  NIGHTCAP_LOG_LEVEL: z.enum(['error', 'warn', 'info', 'debug'], {
    error: 'write error, warn, info or debug',
  }),
} satisfies Record<Name, z.ZodType>)

export type BrokerConfig =
  | {
      readonly kind: 'embedded'
      readonly host: string
      readonly port: number
      readonly tls: TlsFiles | null
    }
  | {
      readonly kind: 'external'
      readonly url: string
      readonly username: string
      readonly password: Secret
      readonly caFile: string | null
    }

export interface InfluxConfig {
  readonly url: string
  readonly org: string
  readonly bucket: string
  readonly token: Secret
}

export interface HeartbeatPlace {
  /** Whoever knows it can pretend to be this monitor. */
  readonly url: Secret
  readonly method: 'GET' | 'POST'
  readonly everyMs: number
  readonly allowPrivate: boolean
}

/** A secret given directly, or the file that holds it. */
export interface Secret {
  readonly value: string
  readonly file: string | null
}

export interface MonitorConfig {
  readonly dataDir: string
  readonly backupDir: string
  /** Seals secrets; never within `dataDir`. */
  readonly keyFile: string
  /** Where replies reach the shop, or null. */
  readonly publicUrl: string | null
  readonly http: {
    readonly host: string
    readonly port: number
    readonly allowedHosts: readonly string[]
    readonly trustedProxies: readonly string[]
    /** Cookies go over https alone: a proxy serves it, or the board itself. */
    readonly secureCookies: boolean
    readonly tls: TlsFiles | null
  }
  readonly broker: BrokerConfig
  /** The second store for readings, or null. */
  readonly influx: InfluxConfig | null
  /** Which store tells the past of sensors where both can. */
  readonly historyFrom: 'book' | 'influx'
  /** Who is told that the monitor lives, or null. */
  readonly heartbeat: HeartbeatPlace | null
  /** Sensor nodes or the monitor speak to the broker beyond this computer in the clear, as the owner allowed. */
  readonly plaintextBeyondLoopback: boolean
  readonly logLevel: 'error' | 'warn' | 'info' | 'debug'
}

export type ConfigOutcome =
  | { readonly ok: true; readonly config: MonitorConfig }
  | { readonly ok: false; readonly problems: readonly string[] }

/** Turns the environment into checked configuration. Pure: it reads no file and no clock. Every problem names its variable and the cure. */
export function parseConfig(environment: Readonly<Record<string, string | undefined>>): ConfigOutcome {
  const known = new Set<string>(ENVIRONMENT.map((v) => v.name))
  const strangers = Object.keys(environment).filter(
    (name) => name.startsWith('NIGHTCAP_') && !known.has(name) && !isForOthers(name),
  )
  const problems = strangers.map(
    (name) => `${name}: there is no such variable; nightcap check lists those there are`,
  )
  const given = Object.fromEntries(ENVIRONMENT.map((v) => [v.name, environment[v.name] ?? v.fallback]))
  const parsed = environmentSchema.safeParse(given)
  if (!parsed.success) {
    problems.push(...parsed.error.issues.map((issue) => `${issue.path.join('.')}: ${issue.message}`))
    return { ok: false, problems }
  }
  const env = parsed.data
  const broker = brokerOf(env)
  const influx = influxOf(env)
  const heartbeat = heartbeatOf(env)
  const beyond = speaksInTheClear(broker)
  if (beyond && !env.NIGHTCAP_ALLOW_PLAINTEXT) {
    problems.push(
      broker.kind === 'embedded'
        ? 'NIGHTCAP_MQTT_HOST: the broker would listen beyond this computer in the clear. Give NIGHTCAP_MQTT_TLS_CERT_FILE and _KEY_FILE, or set NIGHTCAP_ALLOW_PLAINTEXT=yes'
        : 'NIGHTCAP_MQTT_URL: the password would cross the network in the clear. Use mqtts://, or set NIGHTCAP_ALLOW_PLAINTEXT=yes',
    )
  }
  if (influx && sendsInTheClear(influx.url) && !env.NIGHTCAP_ALLOW_PLAINTEXT) {
    problems.push(
      'NIGHTCAP_INFLUX_URL: the token would cross the network in the clear. Use https://, or set NIGHTCAP_ALLOW_PLAINTEXT=yes',
    )
  }
  if (influx && influx.token.value === '' && influx.token.file === null) {
    problems.push('NIGHTCAP_INFLUX_TOKEN: InfluxDB wants a token; give it, or NIGHTCAP_INFLUX_TOKEN_FILE')
  }
  if (!influx && env.NIGHTCAP_HISTORY_FROM === 'influx') {
    problems.push(
      'NIGHTCAP_HISTORY_FROM: there is no InfluxDB to ask; give NIGHTCAP_INFLUX_URL, or write book',
    )
  }
  if (env.NIGHTCAP_HEARTBEAT_URL.startsWith('http://') && !env.NIGHTCAP_HEARTBEAT_PRIVATE) {
    problems.push(
      'NIGHTCAP_HEARTBEAT_URL: it would cross the network in the clear. Use https://, or set NIGHTCAP_HEARTBEAT_PRIVATE=yes',
    )
  }
  for (const of of ['HTTP', 'MQTT'] as const) {
    if ((env[`NIGHTCAP_${of}_TLS_CERT_FILE`] === '') === (env[`NIGHTCAP_${of}_TLS_KEY_FILE`] === '')) continue
    problems.push(`NIGHTCAP_${of}_TLS_CERT_FILE: a certificate and its key go together; give both or neither`)
  }
  if (problems.length > 0) return { ok: false, problems }
  const tls = tlsOf(env, 'HTTP')
  return {
    ok: true,
    config: {
      dataDir: env.NIGHTCAP_DATA_DIR,
      backupDir: env.NIGHTCAP_BACKUP_DIR || beside(env.NIGHTCAP_DATA_DIR, 'backups'),
      keyFile: env.NIGHTCAP_KEY_FILE || beside(env.NIGHTCAP_DATA_DIR, 'key'),
      publicUrl: env.NIGHTCAP_PUBLIC_URL || null,
      http: {
        host: env.NIGHTCAP_HTTP_HOST,
        port: env.NIGHTCAP_HTTP_PORT,
        allowedHosts: [...env.NIGHTCAP_ALLOWED_HOSTS, ...hostsOf(env.NIGHTCAP_PUBLIC_URL)],
        trustedProxies: env.NIGHTCAP_TRUSTED_PROXIES,
        secureCookies: env.NIGHTCAP_SECURE_COOKIES || tls !== null,
        tls,
      },
      broker,
      influx,
      historyFrom: env.NIGHTCAP_HISTORY_FROM,
      heartbeat,
      plaintextBeyondLoopback: beyond,
      logLevel: env.NIGHTCAP_LOG_LEVEL,
    },
  }
}

function beside(folder: string, name: string): string {
  return `${folder.replace(/[\\/]+$/, '')}-${name}`
}

/** Whoever is sent to the public address is let in by its name. */
function hostsOf(publicUrl: string): readonly string[] {
  return publicUrl === '' ? [] : [new URL(publicUrl).host]
}

type Environment = z.infer<typeof environmentSchema>

function brokerOf(env: Environment): BrokerConfig {
  if (env.NIGHTCAP_MQTT_URL !== '') {
    return {
      kind: 'external',
      url: env.NIGHTCAP_MQTT_URL,
      username: env.NIGHTCAP_MQTT_USERNAME,
      password: { value: env.NIGHTCAP_MQTT_PASSWORD, file: env.NIGHTCAP_MQTT_PASSWORD_FILE || null },
      caFile: env.NIGHTCAP_MQTT_CA_FILE || null,
    }
  }
  const { NIGHTCAP_MQTT_HOST: host, NIGHTCAP_MQTT_PORT: port } = env
  return { kind: 'embedded', host, port, tls: tlsOf(env, 'MQTT') }
}

function tlsOf(env: Environment, of: 'HTTP' | 'MQTT'): TlsFiles | null {
  const [certFile, keyFile] = [env[`NIGHTCAP_${of}_TLS_CERT_FILE`], env[`NIGHTCAP_${of}_TLS_KEY_FILE`]]
  return certFile !== '' && keyFile !== '' ? { certFile, keyFile } : null
}

function influxOf(env: Environment): InfluxConfig | null {
  if (env.NIGHTCAP_INFLUX_URL === '') return null
  return {
    url: env.NIGHTCAP_INFLUX_URL,
    org: env.NIGHTCAP_INFLUX_ORG,
    bucket: env.NIGHTCAP_INFLUX_BUCKET,
    token: { value: env.NIGHTCAP_INFLUX_TOKEN, file: env.NIGHTCAP_INFLUX_TOKEN_FILE || null },
  }
}

function heartbeatOf(env: Environment): HeartbeatPlace | null {
  const { NIGHTCAP_HEARTBEAT_URL: value, NIGHTCAP_HEARTBEAT_URL_FILE: file } = env
  if (value === '' && file === '') return null
  return {
    url: { value, file: file || null },
    method: env.NIGHTCAP_HEARTBEAT_METHOD,
    everyMs: env.NIGHTCAP_HEARTBEAT_MINUTES * 60_000,
    allowPrivate: env.NIGHTCAP_HEARTBEAT_PRIVATE,
  }
}

function sendsInTheClear(url: string): boolean {
  const { protocol, hostname } = new URL(url)
  return protocol === 'http:' && !isLoopback(hostname)
}

/** Do secrets cross the network without encryption? */
function speaksInTheClear(broker: BrokerConfig): boolean {
  if (broker.kind === 'embedded') return broker.tls === null && !isLoopback(broker.host)
  const { protocol, hostname } = new URL(broker.url)
  return protocol === 'mqtt:' && !isLoopback(hostname)
}

/** Variables of the sensor node and of the tests are not the monitor's, and not misspelt either. */
function isForOthers(name: string): boolean {
  return name.startsWith('NIGHTCAP_NODE_') || name.startsWith('NIGHTCAP_TEST_')
}

export function isLoopback(host: string): boolean {
  return host === 'localhost' || host === '::1' || /^127(\.\d{1,3}){3}$/.test(host)
}
