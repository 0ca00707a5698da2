import BetterSqlite3 from 'better-sqlite3'
import { cpSync, readdirSync } from 'node:fs'
import { once } from 'node:events'
import { createServer } from 'node:http'
import type { AddressInfo } from 'node:net'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { createHttpPost } from '../../services/adapters/http-post/create-http-post.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import { SCHEMA_1 } from '../../services/adapters/records-sqlite/schema-1.ts'
import { SCHEMA_2 } from '../../services/adapters/records-sqlite/schema-2.ts'
import { KERNEL_VERSION } from '../../services/core/kernel/state.ts'
import { parseConfig } from '../../services/monitor/config.ts'
import { createLog } from '../../services/monitor/log.ts'
import { replayWhereNeeded } from '../../services/monitor/replay-log.ts'
import { startMonitor } from '../../services/monitor/start-monitor.ts'
import { fillShop, readFolder } from '../parts/full-shop.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'

const folders = createTemporaryFolders()
const NOW = Date.parse('2026-11-27T11:00:00Z')
const told: string[] = []
const receiver = createServer((request, response) => {
  told.push(String(request.headers['webhook-id']))
  request.resume().on('end', () => response.writeHead(204).end())
})
let whole: string

beforeAll(async () => {
  receiver.listen(0, '127.0.0.1')
  await once(receiver, 'listening')
  whole = join(folders.make(), 'data')
  const webhookUrl = `http://127.0.0.1:${(receiver.address() as AddressInfo).port}/`
  fillShop({ dataDir: whole, nowMs: NOW, days: 3, contacts: [{ id: 'ana', title: 'Ana', webhookUrl }] })
  change(whole, (db) => db.exec("UPDATE notice SET settled_ms = queued_ms, outcome = 'delivered'"))
}, 120_000)
afterAll(() => {
  receiver.closeAllConnections()
  receiver.close()
  folders.removeAll()
})

function change(dataDir: string, work: (db: BetterSqlite3.Database) => unknown): void {
  const db = new BetterSqlite3(join(dataDir, 'nightcap.sqlite'))
  work(db)
  db.close()
}
function copyOfShop(): string {
  const dataDir = join(folders.make(), 'data')
  cpSync(whole, dataDir, { recursive: true })
  cpSync(`${whole}-key`, `${dataDir}-key`)
  return dataDir
}
/** Starts a monitor on the folder, with its clock where the past ends, lets it look round, and stops it. Gives its log. */
async function startOnce(dataDir: string): Promise<string> {
  const outcome = parseConfig({
    NIGHTCAP_DATA_DIR: dataDir,
    NIGHTCAP_HTTP_PORT: '0',
    NIGHTCAP_MQTT_PORT: '0',
  })
  if (!outcome.ok) throw new Error(outcome.problems.join('\n'))
  let written = ''
  const monitor = await startMonitor({
    config: outcome.config,
    log: createLog({ level: 'info', to: { write: (line) => void (written += line) } }),
    clock: { nowMs: () => NOW, realMs: (ms) => ms },
    post: createHttpPost(),
  })
  await monitor.engine.tick()
  await monitor.close()
  return written
}
/** What the start of a monitor does to a state that it cannot use. Gives the log. */
function replay(dataDir: string): string {
  let written = ''
  const log = createLog({ level: 'info', to: { write: (line) => void (written += line) } })
  const db = openDatabase({ dataDir })
  try {
    replayWhereNeeded({ db, log })
  } finally {
    if (db.open) db.close()
  }
  return written
}
const asides = (dataDir: string): string[] =>
  readdirSync(dataDir).filter((name) => /^nightcap\.sqlite\.(kernel|unreadable)/.test(name))

describe('a data folder whose state this kernel cannot use', { timeout: 120_000 }, () => {
  const spoilt: readonly [string, string, string, RegExp][] = [
    [
      'of an earlier kernel',
      "UPDATE kernel_snapshot SET kernel_version = '2', json = '{}'",
      'nightcap.sqlite.kernel-2',
      /made by kernel 2, this is/,
    ],
    [
      'cut short',
      'UPDATE kernel_snapshot SET json = substr(json, 1, 999)',
      'nightcap.sqlite.unreadable-state',
      /its state cannot be read/,
    ],
    [
      'of other words',
      `UPDATE kernel_snapshot SET json = '{"settings":7}'`,
      'nightcap.sqlite.unreadable-state',
      /its state cannot be read/,
    ],
  ]
  it.each(spoilt)(
    'REPLAY-1 to REPLAY-3 %s: the log is lived through again, gives the same shop, and tells nobody anything',
    async (_, sql, aside, words) => {
      const dataDir = copyOfShop()
      const known = readFolder(dataDir)
      change(dataDir, (db) => db.exec(sql))
      told.length = 0
      const log = replay(dataDir)
      expect(log).toMatch(words)
      expect(log).toMatch(
        /the log is lived through again.*nothing is lost[^]*"percent":100[^]*stays where this says/,
      )
      // REPLAY-1: byte for byte the state that the monitor had, and all that goes with it.
      expect(readFolder(dataDir)).toEqual(known)
      expect([known.openAlarms.length > 0, known.openTasks.length > 0, known.readings > 1000]).toEqual([
        true,
        true,
        true,
      ])
      expect(asides(dataDir)).toEqual([aside])
      // The start that follows is an ordinary one, and nobody hears of the past.
      expect(await startOnce(dataDir)).not.toMatch(/lived through/)
      expect([told, asides(dataDir).length]).toEqual([[], 1])
    },
  )

  it('REPLAY-1 what does not follow from the log is taken over as it is', async () => {
    const dataDir = copyOfShop()
    const rows = (sql: string): unknown => {
      const db = new BetterSqlite3(join(dataDir, 'nightcap.sqlite'), { readonly: true })
      const found = db.prepare(sql).all()
      db.close()
      return found
    }
    const queries = [
      'SELECT * FROM rollup',
      'SELECT * FROM heard_sensor',
      'SELECT * FROM person',
      'SELECT * FROM session',
      'SELECT * FROM credential',
      'SELECT * FROM sealed_secret',
      'SELECT machine_id, end_ms, json FROM machine_quarter',
      'SELECT * FROM machine_stretch',
    ]
    const before = queries.map(rows)
    change(dataDir, (db) => db.exec("UPDATE kernel_snapshot SET kernel_version = '2'"))
    replay(dataDir)
    expect(queries.map(rows)).toEqual(before)
    expect(before.every((found) => (found as unknown[]).length > 0)).toBe(true)
  })

  it('REPLAY-4 of a newer kernel: it is refused with the cure, and stays as it was', async () => {
    const dataDir = copyOfShop()
    const newer = String(Number(KERNEL_VERSION) + 1)
    change(dataDir, (db) => db.exec(`UPDATE kernel_snapshot SET kernel_version = '${newer}'`))
    await expect(startOnce(dataDir)).rejects.toThrow(
      /newer Nightcap .*start the newer release, or put back a backup .*nightcap restore/,
    )
    expect(asides(dataDir)).toEqual([])
    change(dataDir, (db) => db.exec(`UPDATE kernel_snapshot SET kernel_version = '${KERNEL_VERSION}'`))
    expect(readFolder(dataDir)).toEqual(readFolder(whole))
  })
})

describe('a shop of an earlier release', { timeout: 120_000 }, () => {
  it.each([
    [1, SCHEMA_1, '1'],
    [2, SCHEMA_1 + SCHEMA_2, '2'],
  ])(
    'UPGRADE-1 of schema %i, with what it had lived through, goes on: readings, settings, people, nodes, alarms',
    async (version, sql, kernel) => {
      const dataDir = folders.make()
      const old = new BetterSqlite3(join(dataDir, 'nightcap.sqlite'))
      old.exec(sql)
      old.pragma(`user_version = ${version}`)
      old.prepare('ATTACH ? AS now').run(join(whole, 'nightcap.sqlite'))
      const order = version === 1 ? '' : ', order_key'
      // As that release wrote them: what it knew of its log, and a state in words of its own.
      old.exec(`
      INSERT INTO series SELECT * FROM now.series;
      INSERT INTO input (seq, type, at_ms, received_ms, json${order}) SELECT seq, type, at_ms, received_ms, json${order} FROM now.input;
      INSERT INTO reading SELECT * FROM now.reading;
      INSERT INTO person SELECT * FROM now.person;
      INSERT INTO credential SELECT * FROM now.credential;
      INSERT INTO heard_sensor SELECT * FROM now.heard_sensor;
      INSERT INTO counter SELECT * FROM now.counter;
      INSERT INTO kernel_snapshot VALUES (1, 5, '${kernel}', '{"as":"it was then"}');
      INSERT INTO alarm VALUES ('alarm-of-then', 'unacknowledged', 1, '{}');
    `)
      old.exec('DETACH now')
      old.close()
      told.length = 0
      replay(dataDir)
      const known = readFolder(whole)
      // Sealed secrets came later than that release.
      expect(readFolder(dataDir)).toEqual({ ...known, sealed: null, sessions: 0 })
      await startOnce(dataDir)
      expect([told, asides(dataDir)]).toEqual([[], [`nightcap.sqlite.kernel-${kernel}`]])
    },
  )
})
