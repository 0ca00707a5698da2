import { z } from 'zod'

/** One environment variable: its default and what it is for; `check` prints them all. */
export interface EnvironmentVariable {
  readonly name: string
  readonly fallback: string
  readonly meaning: string
  readonly secret?: true
}

/** Every variable that the monitor reads, in the order of the manual. */
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

/** What each may hold; one that is not set holds its fallback. */
export const environmentSchema = z.object({
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
