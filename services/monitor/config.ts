import type { z } from 'zod'
import { ENVIRONMENT, environmentSchema } from './environment.ts'
import type { TlsFiles } from './tls-files.ts'

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
