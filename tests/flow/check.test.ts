import { chmodSync, copyFileSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { createServer } from 'node:http'
import type { AddressInfo } from 'node:net'
import { join } from 'node:path'
import { afterEach, describe, expect, it } from 'vitest'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import { createSqliteAccountStore } from '../../services/adapters/records-sqlite/create-account-store.ts'
import { createSqliteBookOfRecord } from '../../services/adapters/records-sqlite/create-book-of-record.ts'
import type { Settings } from '../../services/core/model/settings.ts'
import { checkClock, checkNode, checkSetUp } from '../../services/monitor/check-set-up.ts'
import { parseConfig, type MonitorConfig } from '../../services/monitor/config.ts'
import { createAuthority } from '../parts/authority.ts'
import { freePort } from '../parts/free-port.ts'
import { requireProgram } from '../parts/host.ts'
import { startInflux } from '../parts/influx.ts'
import { startMosquitto } from '../parts/mosquitto.ts'
import { startShippedMosquitto } from '../parts/shipped-mosquitto.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'

const folders = createTemporaryFolders()
const opened: { close: () => Promise<unknown> }[] = []
afterEach(async () => {
  for (const part of opened.splice(0).reverse()) await part.close()
  folders.removeAll()
})

async function configOf(environment: Record<string, string>): Promise<MonitorConfig> {
  const dataDir = join(folders.make(), 'data')
  const outcome = parseConfig({
    NIGHTCAP_DATA_DIR: dataDir,
    NIGHTCAP_HTTP_PORT: String(await freePort()),
    NIGHTCAP_MQTT_PORT: String(await freePort()),
    ...environment,
  })
  if (!outcome.ok) throw new Error(outcome.problems.join('\n'))
  return outcome.config
}

/** What check calls wrong, one line each. */
async function wrongIn(config: MonitorConfig, boardDir = 'tests/flow/no-board'): Promise<string> {
  const findings = await checkSetUp(config, { boardDir })
  return findings
    .filter((f) => !f.ok)
    .map((f) => f.text)
    .join('\n')
}

function shopIn(dataDir: string, settings: Settings | null, owner: boolean): void {
  const db = openDatabase({ dataDir })
  const book = createSqliteBookOfRecord({ db })
  const act = { actorId: 'person-1', via: 'screen' as const, atMs: 1 }
  if (settings)
    book.transaction(() =>
      book.appendInput({ type: 'settings', seq: 1, atMs: 1, receivedMs: 1, act, settings }),
    )
  if (owner) {
    createSqliteAccountStore({ db }).addPerson({
      id: 'person-1',
      name: 'Lena',
      role: 'owner',
      createdMs: 1,
      passwordHash: 'x',
    })
  }
  db.close()
}

async function elsewhere(): Promise<number> {
  const server = createServer((_, answer) => answer.end('{"hello":"world"}'))
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  opened.push({ close: () => new Promise((resolve) => server.close(resolve)) })
  return (server.address() as AddressInfo).port
}

describe('check', () => {
  it('finds nothing wrong with a shop that is set up, and leaves no trace', async () => {
    const config = await configOf({})
    const contacts = [{ id: 'lena', title: 'Lena' }]
    shopIn(config.dataDir, testSettings({ contacts }), true)
    const boardDir = folders.make()
    writeFileSync(join(boardDir, 'index.html'), '<!doctype html>')
    const before = readFileSync(join(config.dataDir, 'nightcap.sqlite'))
    expect(await wrongIn(config, boardDir)).toBe('')
    expect(readFileSync(join(config.dataDir, 'nightcap.sqlite')).equals(before)).toBe(true)
  })

  it('tells of the room on the disk once, so that two limits never speak against each other', async () => {
    const findings = await checkSetUp(await configOf({}), { boardDir: 'tests/flow/no-board' })
    expect(findings.filter((f) => /GB are free|nearly full|is full/.test(f.text))).toHaveLength(1)
  })

  it('names an old Node.js, a clock that was never set, a board that was not built', async () => {
    expect(checkNode('18.19.0')).toMatchObject({ ok: false, text: /install 20\.11 or newer/ })
    expect(checkClock(0)).toMatchObject({ ok: false, text: /1970-01-01: set it/ })
    expect(await wrongIn(await configOf({}))).toMatch(/board is not built.*npm run build/)
  })

  it('names a data folder that others can read, one that cannot be made, and a damaged book of record', async () => {
    const config = await configOf({})
    mkdirSync(config.dataDir)
    chmodSync(config.dataDir, 0o755)
    writeFileSync(join(config.dataDir, 'nightcap.sqlite'), 'this is no database at all, but a text')
    const told = await wrongIn(config)
    expect(told).toMatch(/can be read by other users: chmod 700/)
    expect(told).toMatch(/nightcap\.sqlite is damaged.*put a backup in its place/)
    expect(await wrongIn(await configOf({ NIGHTCAP_DATA_DIR: '/proc/nowhere/data' }))).toMatch(
      /NIGHTCAP_DATA_DIR \/proc\/nowhere\/data cannot be written/,
    )
  })

  it('names what the settings leave open: owner, hours, machines, sensors, whom to tell', async () => {
    const config = await configOf({})
    shopIn(
      config.dataDir,
      testSettings({ sensors: [], contacts: [], hours: { weekly: [], holidays: [] } }),
      false,
    )
    const told = await wrongIn(config)
    expect(told).toMatch(/no owner yet/)
    expect(told).toMatch(/no opening hours are set/)
    expect(told).toMatch(/no sensor measures the air of Print floor/)
    expect(told).toMatch(/nothing tells whether Roll 60, left bench has power/)
    expect(told).toMatch(/no scale weighs Waste bottle, left bench/)
    expect(told).toMatch(/nobody is told at night/)
  })

  it('names contacts that cannot be reached', async () => {
    const config = await configOf({})
    const contacts = [
      { id: 'lena', title: 'Lena', push: false },
      { id: 'bo', title: 'Bo', push: false, mail: 'bo@example.org' },
    ]
    shopIn(config.dataDir, testSettings({ contacts }), true)
    const told = await wrongIn(config)
    expect(told).toMatch(/Lena \(lena\) is asked at night but cannot be reached/)
    expect(told).toMatch(/no mail server is set/)
  })

  it('names ports that another program has', async () => {
    const taken = String(await elsewhere())
    expect(await wrongIn(await configOf({ NIGHTCAP_HTTP_PORT: taken }))).toMatch(
      /NIGHTCAP_HTTP_PORT: another program listens at 127\.0\.0\.1/,
    )
    expect(await wrongIn(await configOf({ NIGHTCAP_MQTT_PORT: taken }))).toMatch(
      /NIGHTCAP_MQTT_PORT: another program listens at 127\.0\.0\.1/,
    )
  })

  it('names a board beyond this computer without https, and plaintext that was allowed', async () => {
    const told = await wrongIn(
      await configOf({
        NIGHTCAP_HTTP_HOST: '0.0.0.0',
        NIGHTCAP_MQTT_HOST: '0.0.0.0',
        NIGHTCAP_ALLOW_PLAINTEXT: 'yes',
      }),
    )
    expect(told).toMatch(/listens beyond this computer without HTTPS/)
    expect(told).toMatch(/secrets cross the network in the clear/)
  })

  it('names certificates that do not fit, are none, or end soon', async (context) => {
    requireProgram(context, 'openssl')
    const authority = createAuthority(folders.make(), 'shop')
    const [board, other, long] = [
      authority.certificateFor('board'),
      authority.certificateFor('other'),
      authority.certificateFor('long', 90),
    ]
    const pair = ({ certFile, keyFile }: { certFile: string; keyFile: string }) => ({
      NIGHTCAP_HTTP_TLS_CERT_FILE: certFile,
      NIGHTCAP_HTTP_TLS_KEY_FILE: keyFile,
    })
    expect(await wrongIn(await configOf(pair(board)))).toMatch(/ends on .*put a renewed one there/)
    expect(await wrongIn(await configOf(pair({ ...board, keyFile: other.keyFile })))).toMatch(
      /is not the key to .*board\.crt/,
    )
    expect(await wrongIn(await configOf(pair({ ...board, certFile: board.keyFile })))).toMatch(
      /does not hold a certificate in PEM form/,
    )
    expect(await wrongIn(await configOf(pair({ ...board, keyFile: '/nowhere' })))).toMatch(/cannot be read/)
    expect(await wrongIn(await configOf(pair(long)))).not.toMatch(/TLS/)
  })

  it('names a second store that is away, refuses the token or knows no such bucket', async (context) => {
    requireProgram(context, 'influxd')
    const influx = await startInflux()
    opened.push(influx)
    const at = (change: Record<string, string>) =>
      configOf({
        NIGHTCAP_INFLUX_URL: influx.url,
        NIGHTCAP_INFLUX_BUCKET: influx.bucket,
        NIGHTCAP_INFLUX_TOKEN: influx.token,
        ...change,
      })
    expect(await wrongIn(await at({}))).not.toMatch(/INFLUX/)
    expect(await wrongIn(await at({ NIGHTCAP_INFLUX_TOKEN: 'no' }))).toMatch(/refuses the token \(401\)/)
    expect(await wrongIn(await at({ NIGHTCAP_INFLUX_BUCKET: 'no' }))).toMatch(/knows no bucket no of shop/)
    expect(await wrongIn(await at({ NIGHTCAP_INFLUX_URL: `http://127.0.0.1:${await freePort()}` }))).toMatch(
      /nothing answers .* readings wait here meanwhile/,
    )
    expect(
      await wrongIn(await at({ NIGHTCAP_INFLUX_TOKEN: '', NIGHTCAP_INFLUX_TOKEN_FILE: '/nowhere' })),
    ).toMatch(/NIGHTCAP_INFLUX_TOKEN_FILE: \/nowhere cannot be read/)
  })
})

describe('check of a broker', () => {
  it('finds the shipped configuration in order: a forbidden publish is tried, and refused', async (context) => {
    requireProgram(context, 'mosquitto')
    const broker = await startShippedMosquitto({ users: { monitor: 'right' } })
    opened.push(broker)
    const config = await configOf({ NIGHTCAP_MQTT_URL: broker.url, NIGHTCAP_MQTT_PASSWORD: 'right' })
    const findings = await checkSetUp(config, { boardDir: '' })
    expect(findings.map((f) => f.text).join('\n')).toMatch(/refused readings in the name of a node/)
    expect(await wrongIn(config)).not.toMatch(/broker/)
  })

  it('names one that refuses the password, and an empty or missing password', async (context) => {
    requireProgram(context, 'mosquitto')
    const broker = await startShippedMosquitto({ users: { monitor: 'right' } })
    opened.push(broker)
    const at = (change: Record<string, string>) => configOf({ NIGHTCAP_MQTT_URL: broker.url, ...change })
    expect(await wrongIn(await at({ NIGHTCAP_MQTT_PASSWORD: 'wrong' }))).toMatch(
      /does not let monitor in \(.*[Nn]ot authorized.*\): correct name, password/,
    )
    expect(await wrongIn(await at({}))).toMatch(/no password is given for the broker/)
    const empty = join(folders.make(), 'password')
    writeFileSync(empty, '\n')
    expect(await wrongIn(await at({ NIGHTCAP_MQTT_PASSWORD_FILE: empty }))).toMatch(/is empty/)
  })

  it('names one that lets in whoever comes, and takes what nobody but the node may say', async (context) => {
    requireProgram(context, 'mosquitto')
    const broker = await startMosquitto()
    opened.push(broker)
    const told = await wrongIn(await configOf({ NIGHTCAP_MQTT_URL: broker.url, NIGHTCAP_MQTT_PASSWORD: 'x' }))
    expect(told).toMatch(/lets in whoever comes/)
    expect(told).toMatch(/took readings in the name of a node that was not its sender/)
  })

  it('names one that does not answer', async () => {
    const url = `mqtt://127.0.0.1:${await freePort()}`
    expect(await wrongIn(await configOf({ NIGHTCAP_MQTT_URL: url }))).toMatch(/nothing answers at mqtt:/)
  })

  it('names a key file that others can read', async () => {
    const keyFile = join(folders.make(), 'key')
    copyFileSync('package.json', keyFile)
    chmodSync(keyFile, 0o644)
    expect(await wrongIn(await configOf({ NIGHTCAP_KEY_FILE: keyFile }))).toMatch(
      /NIGHTCAP_KEY_FILE|chmod 600/,
    )
  })
})
