import { accessSync, constants, existsSync, readFileSync, statSync } from 'node:fs'
import { createConnection } from 'node:net'
import { dirname, resolve, sep } from 'node:path'
import { z } from 'zod'
import { createSealer } from './key-file.ts'
import { isLoopback, type MonitorConfig, type Secret } from './config.ts'

export interface Finding {
  readonly ok: boolean
  /** What is so, and the cure where it is wrong. */
  readonly text: string
}

const WAIT_MS = 3_000
const healthSchema = z.object({ ok: z.boolean(), problems: z.array(z.string()) })

/** Looks at everything that a set-up can have wrong without changing anything. */
export async function checkSetUp(config: MonitorConfig): Promise<readonly Finding[]> {
  return [
    checkNode(process.versions.node),
    checkDataDir(config.dataDir),
    ...checkFiles(config),
    ...(await checkMonitor(config)),
    ...(await checkBroker(config)),
    ...(await checkInflux(config)),
    ...checkExposure(config),
    checkKeyFile(config),
  ]
}

export function checkNode(version: string): Finding {
  const [major = 0, minor = 0] = version.split('.').map(Number)
  const ok = major > 20 || (major === 20 && minor >= 11)
  return { ok, text: ok ? `Node.js ${version}` : `Node.js ${version} is too old: install 20.11 or newer` }
}

function checkDataDir(dataDir: string): Finding {
  const path = resolve(dataDir)
  try {
    if (!existsSync(path)) {
      accessSync(dirname(path), constants.W_OK)
      return { ok: true, text: `NIGHTCAP_DATA_DIR ${path} will be made at the first start` }
    }
    accessSync(path, constants.W_OK | constants.R_OK)
    const open = (statSync(path).mode & 0o077) !== 0
    return open
      ? { ok: false, text: `NIGHTCAP_DATA_DIR ${path} can be read by other users: chmod 700 ${path}` }
      : { ok: true, text: `NIGHTCAP_DATA_DIR ${path} can be written` }
  } catch {
    return {
      ok: false,
      text: `NIGHTCAP_DATA_DIR ${path} cannot be written: give it to this user, or name another folder`,
    }
  }
}

function checkKeyFile({ keyFile, dataDir }: MonitorConfig): Finding {
  const path = resolve(keyFile)
  if (!existsSync(path) && !path.startsWith(resolve(dataDir) + sep))
    return { ok: true, text: `NIGHTCAP_KEY_FILE ${path} will be made when there is a secret to seal` }
  const problem = createSealer({ keyFile, dataDir, anythingSealed: () => true }).problem()
  return { ok: problem === null, text: problem ?? `NIGHTCAP_KEY_FILE ${path} can be read by this user alone` }
}

function checkFiles({ broker, influx }: MonitorConfig): readonly Finding[] {
  const files: [string, string | null][] =
    broker.kind === 'external'
      ? [
          ['NIGHTCAP_MQTT_PASSWORD_FILE', broker.password.file],
          ['NIGHTCAP_MQTT_CA_FILE', broker.caFile],
        ]
      : [
          ['NIGHTCAP_MQTT_TLS_CERT_FILE', broker.tls?.certFile ?? null],
          ['NIGHTCAP_MQTT_TLS_KEY_FILE', broker.tls?.keyFile ?? null],
        ]
  files.push(['NIGHTCAP_INFLUX_TOKEN_FILE', influx?.token.file ?? null])
  return files.flatMap(([name, file]) => (file === null ? [] : [checkFile(name, file)]))
}

function checkFile(name: string, file: string): Finding {
  try {
    const text = readFileSync(file, 'utf8')
    return text.trim() === ''
      ? { ok: false, text: `${name}: ${file} is empty` }
      : { ok: true, text: `${name}: ${file} can be read` }
  } catch {
    return {
      ok: false,
      text: `${name}: ${file} cannot be read: see that it exists and that this user may read it`,
    }
  }
}

async function checkMonitor({ http }: MonitorConfig): Promise<readonly Finding[]> {
  const host = http.host === '0.0.0.0' || http.host === '::' ? '127.0.0.1' : http.host
  const url = `http://${host}:${http.port}/healthz`
  try {
    const answer = await fetch(url, { signal: AbortSignal.timeout(WAIT_MS) })
    const health = healthSchema.safeParse(await answer.json())
    if (!health.success)
      return [{ ok: false, text: `something else answers at ${url}: choose another NIGHTCAP_HTTP_PORT` }]
    const problems = health.data.problems.map((text) => ({
      ok: false,
      text: `the running monitor says: ${text}`,
    }))
    return problems.length > 0 ? problems : [{ ok: true, text: `a monitor is running at ${url} and is well` }]
  } catch {
    return [{ ok: true, text: `no monitor is running at ${url}: start it with nightcap serve` }]
  }
}

async function checkBroker({ broker }: MonitorConfig): Promise<readonly Finding[]> {
  if (broker.kind === 'embedded') return []
  const { hostname, port, protocol } = new URL(broker.url)
  const findings: Finding[] = []
  const reached = await reaches(hostname, Number(port) || (protocol === 'mqtts:' ? 8883 : 1883))
  findings.push(
    reached
      ? { ok: true, text: `NIGHTCAP_MQTT_URL: a broker answers at ${broker.url}` }
      : {
          ok: false,
          text: `NIGHTCAP_MQTT_URL: nothing answers at ${broker.url}: start the broker, or correct the address`,
        },
  )
  if (!isLoopback(hostname) && protocol === 'mqtt:') {
    findings.push({
      ok: false,
      text: 'NIGHTCAP_MQTT_URL: the password crosses the network in the clear: use mqtts://',
    })
  }
  if (hasNone(broker.password))
    findings.push({ ok: false, text: 'NIGHTCAP_MQTT_PASSWORD_FILE: no password is given for the broker' })
  return findings
}

/** The v2 health address of 2.x and later; 1.8 answers it too. */
async function checkInflux({ influx }: MonitorConfig): Promise<readonly Finding[]> {
  if (!influx) return []
  const { url } = influx
  const answers = await fetch(new URL('/health', url), { signal: AbortSignal.timeout(WAIT_MS) }).then(
    () => true,
    () => false,
  )
  return [
    answers
      ? { ok: true, text: `NIGHTCAP_INFLUX_URL: something answers at ${url}` }
      : {
          ok: false,
          text: `NIGHTCAP_INFLUX_URL: nothing answers at ${url}: start InfluxDB, or correct the address; readings wait here meanwhile`,
        },
  ]
}

function checkExposure({ plaintextBeyondLoopback, http }: MonitorConfig): readonly Finding[] {
  const findings: Finding[] = []
  if (plaintextBeyondLoopback) {
    findings.push({
      ok: false,
      text: 'the broker listens beyond this computer in the clear, as NIGHTCAP_ALLOW_PLAINTEXT says: secrets can be read on the network',
    })
  }
  if (!isLoopback(http.host) && !http.secureCookies) {
    findings.push({
      ok: false,
      text: 'NIGHTCAP_HTTP_HOST: the board listens beyond this computer without HTTPS: put a proxy with a certificate before it and set NIGHTCAP_SECURE_COOKIES=yes',
    })
  }
  return findings
}

function hasNone({ value, file }: Secret): boolean {
  return value === '' && file === null
}

function reaches(host: string, port: number): Promise<boolean> {
  return new Promise((done) => {
    const socket = createConnection({ host, port, timeout: WAIT_MS })
    const end = (reached: boolean) => () => {
      socket.destroy()
      done(reached)
    }
    socket.once('connect', end(true)).once('error', end(false)).once('timeout', end(false))
  })
}
