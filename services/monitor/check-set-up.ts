import { accessSync, constants, existsSync, readFileSync, statSync } from 'node:fs'
import { dirname, resolve, sep } from 'node:path'
import { z } from 'zod'
import { checkInflux } from './check-influx.ts'
import { checkRecords } from './check-records.ts'
import { checkBroker, checkCertificates, checkHttpPort } from './check-ways-in.ts'
import { isLoopback, type MonitorConfig } from './config.ts'
import { fine, wrong, type Finding } from './finding.ts'
import { heartbeatAddress, HeartbeatAddressError } from './heartbeat-address.ts'
import { createSealer } from './key-file.ts'
import { freeBytesOf, judgeOwnHealth, WELL } from './own-health.ts'

const WAIT_MS = 3_000
/** No clock of a computer that works is before this release. */
const EARLIEST_CLOCK_MS = Date.UTC(2026, 0, 1)
const healthSchema = z.object({ ok: z.boolean(), problems: z.array(z.string()) })

/** Looks at everything that a set-up can have wrong without changing anything. */
export async function checkSetUp(
  config: MonitorConfig,
  { boardDir }: { boardDir: string },
): Promise<readonly Finding[]> {
  const records = checkRecords(config.dataDir)
  const monitor = await checkMonitor(config)
  return [
    checkNode(process.versions.node),
    checkClock(Date.now()),
    checkBoard(boardDir),
    checkDataDir(config.dataDir),
    ...records.findings,
    ...checkFiles(config),
    ...checkCertificates(config),
    ...monitor.findings,
    ...(await checkBroker(config, {
      running: monitor.running,
      site: records.settings?.site.id ?? 'shop',
    })),
    ...(await checkInflux(config)),
    ...checkExposure(config),
    checkKeyFile(config),
    checkDisk(config.dataDir),
    ...checkHeartbeat(config),
  ]
}

export function checkNode(version: string): Finding {
  const [major = 0, minor = 0] = version.split('.').map(Number)
  return major > 20 || (major === 20 && minor >= 11)
    ? fine(`Node.js ${version}`)
    : wrong(`Node.js ${version} is too old: install 20.11 or newer`)
}

export function checkClock(nowMs: number): Finding {
  const day = new Date(nowMs).toISOString().slice(0, 10)
  return nowMs >= EARLIEST_CLOCK_MS
    ? fine(`the clock of this computer says ${day}`)
    : wrong(
        `the clock of this computer says ${day}: set it, and let it be kept right over the network (timedatectl set-ntp true)`,
      )
}

function checkBoard(boardDir: string): Finding {
  return existsSync(`${boardDir}/index.html`)
    ? fine('the board is built')
    : wrong('the board is not built, so browsers get nothing: run npm run build')
}

function checkDataDir(dataDir: string): Finding {
  const path = resolve(dataDir)
  try {
    if (!existsSync(path)) {
      accessSync(dirname(path), constants.W_OK)
      return fine(`NIGHTCAP_DATA_DIR ${path} will be made at the first start`)
    }
    accessSync(path, constants.W_OK | constants.R_OK)
    return (statSync(path).mode & 0o077) !== 0
      ? wrong(`NIGHTCAP_DATA_DIR ${path} can be read by other users: chmod 700 ${path}`)
      : fine(`NIGHTCAP_DATA_DIR ${path} can be written`)
  } catch {
    return wrong(`NIGHTCAP_DATA_DIR ${path} cannot be written: give it to this user, or name another folder`)
  }
}

function checkDisk(dataDir: string): Finding {
  const folder = existsSync(dataDir) ? dataDir : dirname(resolve(dataDir))
  const freeBytes = freeBytesOf(folder)
  const [problem] = judgeOwnHealth({ ...WELL, freeBytes }).problems
  if (problem !== undefined) return wrong(problem)
  return fine(
    freeBytes === null
      ? 'how much room the disk of the data folder has cannot be asked here'
      : `${(freeBytes / 1e9).toFixed(1)} GB are free on the disk of the data folder`,
  )
}

/** A running monitor says itself whether its signs of life get through: from here none is sent, since it would vouch for nothing. */
function checkHeartbeat({ heartbeat }: MonitorConfig): readonly Finding[] {
  if (!heartbeat)
    return [
      fine(
        'nobody outside is told that the monitor lives: name a place in NIGHTCAP_HEARTBEAT_URL that misses it when it is dead',
      ),
    ]
  try {
    heartbeatAddress(heartbeat)
    return [fine(`a sign of life is sent every ${heartbeat.everyMs / 60_000} min while the monitor is well`)]
  } catch (error) {
    // A file that cannot be read has a finding of its own.
    return error instanceof HeartbeatAddressError ? [wrong(error.message)] : []
  }
}

function checkKeyFile({ keyFile, dataDir }: MonitorConfig): Finding {
  const path = resolve(keyFile)
  if (!existsSync(path) && !path.startsWith(resolve(dataDir) + sep))
    return fine(`NIGHTCAP_KEY_FILE ${path} will be made when there is a secret to seal`)
  const problem = createSealer({ keyFile, dataDir, anythingSealed: () => true }).problem()
  return problem === null ? fine(`NIGHTCAP_KEY_FILE ${path} can be read by this user alone`) : wrong(problem)
}

/** Files that hold a secret, or whom to trust. Those of certificates are looked at by what is in them. */
function checkFiles({ broker, influx, heartbeat }: MonitorConfig): readonly Finding[] {
  const files: [string, string | null][] = [['NIGHTCAP_INFLUX_TOKEN_FILE', influx?.token.file ?? null]]
  files.push(['NIGHTCAP_HEARTBEAT_URL_FILE', heartbeat?.url.file ?? null])
  if (broker.kind === 'external') {
    files.push(['NIGHTCAP_MQTT_PASSWORD_FILE', broker.password.file])
    files.push(['NIGHTCAP_MQTT_CA_FILE', broker.caFile])
  }
  return files.flatMap(([name, file]) => (file === null ? [] : [checkFile(name, file)]))
}

function checkFile(name: string, file: string): Finding {
  try {
    return readFileSync(file, 'utf8').trim() === ''
      ? wrong(`${name}: ${file} is empty: put there what it is named after`)
      : fine(`${name}: ${file} can be read`)
  } catch {
    return wrong(`${name}: ${file} cannot be read: see that it exists and that this user may read it`)
  }
}

async function checkMonitor(
  config: MonitorConfig,
): Promise<{ running: boolean; findings: readonly Finding[] }> {
  const { host, port, tls } = config.http
  const name = host === '0.0.0.0' || host === '::' ? '127.0.0.1' : host
  // Whose certificate it is does not matter here: nothing secret is asked or told.
  if (tls) return { running: !(await isFreeAt(config)), findings: [] }
  const url = `http://${name}:${port}/healthz`
  try {
    const answer = await fetch(url, { signal: AbortSignal.timeout(WAIT_MS) })
    const health = healthSchema.safeParse(await answer.json())
    if (!health.success) return { running: false, findings: await checkHttpPort(config) }
    const problems = health.data.problems.map((text) => wrong(`the running monitor says: ${text}`))
    return {
      running: true,
      findings: problems.length > 0 ? problems : [fine(`a monitor is running at ${url} and is well`)],
    }
  } catch {
    const taken = await checkHttpPort(config)
    return {
      running: false,
      findings:
        taken.length > 0 ? taken : [fine(`no monitor is running at ${url}: start it with nightcap serve`)],
    }
  }
}

async function isFreeAt(config: MonitorConfig): Promise<boolean> {
  return (await checkHttpPort(config)).length === 0
}

function checkExposure({ plaintextBeyondLoopback, http, publicUrl }: MonitorConfig): readonly Finding[] {
  const findings: Finding[] = []
  if (plaintextBeyondLoopback) {
    findings.push(
      wrong(
        'secrets cross the network in the clear, as NIGHTCAP_ALLOW_PLAINTEXT says: give the broker a certificate, and set it to no',
      ),
    )
  }
  if (!isLoopback(http.host) && !http.secureCookies) {
    findings.push(
      wrong(
        'NIGHTCAP_HTTP_HOST: the board listens beyond this computer without HTTPS: give NIGHTCAP_HTTP_TLS_CERT_FILE and _KEY_FILE, or put a proxy with a certificate before it and set NIGHTCAP_SECURE_COOKIES=yes',
      ),
    )
  }
  if (publicUrl === null) {
    findings.push(
      fine(
        'NIGHTCAP_PUBLIC_URL is not set: answers from the street cannot reach the shop, so nobody further is asked',
      ),
    )
  }
  return findings
}
