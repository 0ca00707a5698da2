import { readFileSync } from 'node:fs'
import { createConnection, createServer } from 'node:net'
import { probeBroker } from '../adapters/mqtt/probe-broker.ts'
import { isLoopback, type MonitorConfig, type Secret } from './config.ts'
import { fine, wrong, type Finding } from './finding.ts'
import { readSecret } from './read-config.ts'
import { loadTls, type TlsFiles } from './tls-files.ts'
import { endingOf } from './watch-certificates.ts'

const WAIT_MS = 3_000

/** Certificates of board and broker: whether they can be used, and for how long. */
export function checkCertificates({ http, broker }: MonitorConfig, nowMs = Date.now()): readonly Finding[] {
  const pairs: readonly [string, TlsFiles | null][] = [
    ['NIGHTCAP_HTTP_TLS_CERT_FILE', http.tls],
    ['NIGHTCAP_MQTT_TLS_CERT_FILE', broker.kind === 'embedded' ? broker.tls : null],
  ]
  return pairs.flatMap(([name, files]) => {
    if (!files) return []
    try {
      const ending = endingOf(files, loadTls(files).endsMs, nowMs)
      return ending.length > 0
        ? ending.map((text) => wrong(`${name}: ${text}`))
        : [fine(`${name}: the certificate in ${files.certFile} fits its key and is good`)]
    } catch (error) {
      return [wrong(`${name}: ${error instanceof Error ? error.message : String(error)}`)]
    }
  })
}

/**
 * The broker: that it lets in whom it should and nobody else, and that its list of rights is in force. `running`:
 * the monitor runs, and with it the embedded broker.
 */
export async function checkBroker(
  { broker }: MonitorConfig,
  { running, site }: { running: boolean; site: string },
): Promise<readonly Finding[]> {
  if (broker.kind === 'embedded') {
    if (running) return []
    const free = await isFree(broker.host, broker.port)
    return [
      free
        ? fine(`NIGHTCAP_MQTT_PORT ${broker.port} is free for the embedded broker`)
        : wrong(
            `NIGHTCAP_MQTT_PORT: another program listens at ${broker.host}:${broker.port}: stop it, or choose another port`,
          ),
    ]
  }
  const { url, username, password, caFile } = broker
  const { hostname, port, protocol } = new URL(url)
  if (!(await reaches(hostname, Number(port) || (protocol === 'mqtts:' ? 8883 : 1883)))) {
    return [
      wrong(`NIGHTCAP_MQTT_URL: nothing answers at ${url}: start the broker, or correct the address`),
      ...passwordFindings(broker.password),
    ]
  }
  const findings = [fine(`NIGHTCAP_MQTT_URL: a broker answers at ${url}`), ...passwordFindings(password)]
  if (!isLoopback(hostname) && protocol === 'mqtt:')
    findings.push(wrong('NIGHTCAP_MQTT_URL: the password crosses the network in the clear: use mqtts://'))
  const known = given(password, caFile)
  if (!known) return findings
  const probe = await probeBroker({ url, username, ...known, site, waitMs: WAIT_MS })
  findings.push(
    probe.letsIn === true
      ? fine(`NIGHTCAP_MQTT_USERNAME: the broker lets ${username} in`)
      : wrong(
          `NIGHTCAP_MQTT_USERNAME: the broker does not let ${username} in (${probe.letsIn}): correct name, password or NIGHTCAP_MQTT_CA_FILE, or add the user there`,
        ),
  )
  if (probe.letsStrangersIn) {
    findings.push(
      wrong('the broker lets in whoever comes, without name or password: set allow_anonymous false there'),
    )
  }
  if (probe.forbiddenPublish === 'taken') {
    findings.push(
      wrong(
        'the broker took readings in the name of a node that was not its sender: put the access list of services/adapters/mqtt/mosquitto/acl in force there',
      ),
    )
  }
  if (probe.forbiddenPublish === 'refused')
    findings.push(fine('the broker refused readings in the name of a node that was not their sender'))
  return findings
}

/** The port of the board, when no monitor runs there. */
export async function checkHttpPort({ http }: MonitorConfig): Promise<readonly Finding[]> {
  if (http.port === 0 || (await isFree(http.host, http.port))) return []
  return [
    wrong(
      `NIGHTCAP_HTTP_PORT: another program listens at ${http.host}:${http.port}: stop it, or choose another port`,
    ),
  ]
}

function given(password: Secret, caFile: string | null): { password: string; ca?: Buffer } | null {
  try {
    return {
      password: readSecret(password),
      ...(caFile === null ? {} : { ca: readFileSync(caFile) }),
    }
  } catch {
    // The file has a finding of its own.
    return null
  }
}

function passwordFindings({ value, file }: Secret): Finding[] {
  return value === '' && file === null
    ? [wrong('NIGHTCAP_MQTT_PASSWORD_FILE: no password is given for the broker: name the file that holds it')]
    : []
}

function isFree(host: string, port: number): Promise<boolean> {
  return new Promise((done) => {
    const server = createServer()
    server.once('error', () => done(false))
    server.listen(port, host, () => server.close(() => done(true)))
  })
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
