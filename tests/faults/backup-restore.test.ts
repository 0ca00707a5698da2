import BetterSqlite3 from 'better-sqlite3'
import { connectAsync } from 'mqtt'
import {
  closeSync,
  cpSync,
  existsSync,
  mkdirSync,
  openSync,
  readFileSync,
  readdirSync,
  statSync,
  writeFileSync,
  writeSync,
} from 'node:fs'
import { once } from 'node:events'
import { createServer } from 'node:http'
import type { AddressInfo } from 'node:net'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { createHttpPost } from '../../services/adapters/http-post/create-http-post.ts'
import { backUpName, backUpRecords } from '../../services/adapters/records-sqlite/back-up.ts'
import { SCHEMA_VERSION } from '../../services/adapters/records-sqlite/migrations.ts'
import { restoreRecords } from '../../services/adapters/records-sqlite/restore.ts'
import { parseConfig } from '../../services/monitor/config.ts'
import { createLog } from '../../services/monitor/log.ts'
import { startMonitor, type RunningMonitor } from '../../services/monitor/start-monitor.ts'
import type { BookOfRecord } from '../../services/core/model/ports/records.ts'
import { readingsTopic } from '../../services/core/model/topics.ts'
import { freePort } from '../parts/free-port.ts'
import { fillShop, FULL_SHOP_NODE_SECRET, readFolder } from '../parts/full-shop.ts'
import { spawnMonitor } from '../parts/monitor-process.ts'
import { runNightcap } from '../parts/nightcap-command.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'
import { waitFor } from '../parts/wait-for.ts'

const folders = createTemporaryFolders()
afterAll(folders.removeAll)

const mode = (path: string): string => (statSync(path).mode & 0o777).toString(8)
const quiet = (): void => undefined
const NOW = Date.now()
/** A shop with five days behind it, made once; each test works on a copy. */
let whole: string
let hookUrl: string
const hooks: string[] = []
const receiver = createServer((request, response) => {
  hooks.push(String(request.headers['webhook-id']))
  request.resume().on('end', () => response.writeHead(204).end())
})

beforeAll(async () => {
  receiver.listen(0, '127.0.0.1')
  await once(receiver, 'listening')
  hookUrl = `http://127.0.0.1:${(receiver.address() as AddressInfo).port}/`
  whole = join(folders.make(), 'data')
  fillShop({
    dataDir: whole,
    nowMs: NOW,
    days: 5,
    contacts: [{ id: 'ana', title: 'Ana', webhookUrl: hookUrl }],
  })
}, 120_000)
afterAll(() => {
  receiver.closeAllConnections()
  receiver.close()
})

function copyOfShop(): string {
  const dataDir = join(folders.make(), 'data')
  cpSync(whole, dataDir, { recursive: true })
  cpSync(`${whole}-key`, `${dataDir}-key`)
  return dataDir
}
const backUp = async (dataDir: string): Promise<string> => {
  const file = join(folders.make(), 'copy.sqlite')
  await backUpRecords({ dataDir, file, onProgress: quiet })
  return file
}
const restore = (dataDir: string, file: string) =>
  restoreRecords({ dataDir, file, nowMs: NOW, onProgress: quiet })

describe('nightcap backup', { timeout: 120_000 }, () => {
  it('BACKUP-1 while a monitor runs and takes readings: a whole, checked file for this user alone, and the monitor loses nothing', async () => {
    const dataDir = copyOfShop()
    const [http, mqtt] = [await freePort(), await freePort()]
    const environment = {
      NIGHTCAP_DATA_DIR: dataDir,
      NIGHTCAP_HTTP_PORT: String(http),
      NIGHTCAP_MQTT_PORT: String(mqtt),
      NIGHTCAP_LOG_LEVEL: 'warn',
    }
    const monitor = await spawnMonitor(environment)
    const backupDir = `${dataDir}-backups`
    const node = readFolderNode(whole)
    const client = await connectAsync(`mqtt://127.0.0.1:${mqtt}`, {
      clientId: node.id,
      username: node.id,
      password: FULL_SHOP_NODE_SECRET,
    })
    let [running, sent] = [true, 0]
    const load = (async () => {
      while (running) {
        const pack = [{ n: `${node.id}/extra`, u: '%RH', v: 40, t: (NOW - 1_000_000 + ++sent) / 1000 }]
        await client.publishAsync(readingsTopic(node.site, node.id), JSON.stringify(pack), { qos: 1 })
      }
    })()
    await waitFor('the load to be under way', () => (sent > 20 ? true : null))
    const sentBefore = sent
    const run = await runNightcap(['backup', '--keep', '2'], environment)
    const sentAfter = sent
    running = false
    await load
    await client.endAsync()
    expect([run.code, await monitor.stop()]).toEqual([0, 0])
    expect(sentAfter).toBeGreaterThan(sentBefore)
    expect(run.output).toMatch(
      /100 %[^]*holds [\d,]+ readings, \d+ alarms, \d+ tasks, 1 people, as of .*It was checked/,
    )

    const [name = ''] = readdirSync(backupDir)
    expect([readdirSync(backupDir).length, mode(backupDir), mode(join(backupDir, name))]).toEqual([
      1,
      '700',
      '600',
    ])
    const copy = new BetterSqlite3(join(backupDir, name), { readonly: true })
    expect([copy.pragma('integrity_check', { simple: true }), copy.pragma('foreign_key_check')]).toEqual([
      'ok',
      [],
    ])
    const extra = copy.prepare<[string], { n: number }>(
      'SELECT count(*) AS n FROM reading r JOIN series s ON s.id = r.series WHERE s.sensor_id = ?',
    )
    // Those acknowledged before it began are in it, those after it are not; and no reading without its input.
    expect(extra.get(`${node.id}/extra`)?.n).toBeGreaterThanOrEqual(sentBefore - 1)
    expect(extra.get(`${node.id}/extra`)?.n).toBeLessThanOrEqual(sentAfter)
    expect(
      copy.prepare('SELECT count(*) AS n FROM reading WHERE seq NOT IN (SELECT seq FROM input)').get(),
    ).toEqual({ n: 0 })
    copy.close()
    expect(readFolder(dataDir).readings).toBeGreaterThanOrEqual(readFolder(whole).readings + sentAfter)
  })

  it('BACKUP-2 holds nothing of the key file, and what was sealed only as it was sealed', async () => {
    const dataDir = copyOfShop()
    const bytes = readFileSync(await backUp(dataDir))
    const key = readFileSync(`${dataDir}-key`, 'utf8').trim()
    expect(key.length).toBeGreaterThan(40)
    expect([
      bytes.includes(key),
      bytes.includes(Buffer.from(key, 'base64url')),
      bytes.includes('told to nobody'),
    ]).toEqual([false, false, false])
    expect(bytes.includes(readFolder(dataDir).sealed ?? '-')).toBe(true)
  })

  it('BACKUP-3 a name that is taken stays as it is, and nothing half made is left', async () => {
    const file = await backUp(whole)
    const before = readFileSync(file)
    const run = await runNightcap(['backup', file], { NIGHTCAP_DATA_DIR: whole })
    expect([run.code, run.output]).toEqual([
      1,
      expect.stringMatching(/is there already, and stays as it is: name another file/),
    ])
    expect(readFileSync(file).equals(before)).toBe(true)
    expect(readdirSync(join(file, '..'))).toEqual(['copy.sqlite'])
  })

  it('BACKUP-4 --keep holds the newest by their date, and touches nothing else in the folder', async () => {
    const backupDir = join(folders.make(), 'kept')
    mkdirSync(backupDir)
    const others = ['notes.txt', 'nightcap-by-hand.sqlite']
    for (const name of [...others, backUpName(NOW - 3e8), backUpName(NOW - 2e8), backUpName(NOW - 1e8)])
      writeFileSync(join(backupDir, name), 'older')
    const run = await runNightcap(['backup', '--keep', '2'], {
      NIGHTCAP_DATA_DIR: whole,
      NIGHTCAP_BACKUP_DIR: backupDir,
    })
    expect([run.code, run.output]).toEqual([
      0,
      expect.stringContaining(`Removed, since the newest 2 are kept: ${backUpName(NOW - 3e8)}`),
    ])
    const left = readdirSync(backupDir)
      .filter((name) => !others.includes(name))
      .sort()
    expect([left.length, left[0]]).toEqual([2, backUpName(NOW - 1e8)])
    expect(others.map((name) => existsSync(join(backupDir, name)))).toEqual([true, true])
  })

  it.each([
    [['backup', '--keep', '0'], /--keep takes a number from 1/],
    [['backup', '--keep', '3', 'name.sqlite'], /--keep goes with backups that are given no name/],
    [['backup', 'one', 'two'], /it takes one name at most/],
    [['restore'], /name the backup: nightcap restore FILE/],
  ])('%j is refused with the cure', async (args, words) => {
    const run = await runNightcap(args, { NIGHTCAP_DATA_DIR: folders.make() })
    expect([run.code, run.output]).toEqual([2, expect.stringMatching(words)])
  })

  it('COPY-2 a damaged book of record gives no backup that looks like one', async () => {
    const dataDir = copyOfShop()
    const path = join(dataDir, 'nightcap.sqlite')
    const file = openSync(path, 'r+')
    writeSync(file, Buffer.alloc(4096 * 20, 0xa5), 0, 4096 * 20, 4096 * 40)
    closeSync(file)
    const target = join(folders.make(), 'copy.sqlite')
    const run = await runNightcap(['backup', target], { NIGHTCAP_DATA_DIR: dataDir })
    expect([run.code, run.output]).toEqual([3, expect.stringMatching(/is damaged .*Use an earlier backup/)])
    expect(readdirSync(join(target, '..'))).toEqual([])
  })
})

describe('nightcap restore', { timeout: 120_000 }, () => {
  it('RESTORE-4 a restored shop knows what the backup knew: state of the kernel, alarms, tasks, people, nodes, secrets', async () => {
    const dataDir = copyOfShop()
    const { sessions: before, ...known } = readFolder(dataDir)
    const empty = join(folders.make(), 'new', 'data')
    const report = await restore(empty, await backUp(dataDir))
    expect(report.aside).toBeNull()
    const { sessions: after, ...restored } = readFolder(empty)
    expect(restored).toEqual(known)
    expect([known.openAlarms.length > 0, known.openTasks.length > 0]).toEqual([true, true])
    // RESTORE-3
    expect([before, after]).toEqual([1, 0])
    expect([mode(empty), mode(join(empty, 'nightcap.sqlite'))]).toEqual(['700', '600'])
  })

  it('RESTORE-2 what was there stands aside, whole, under a name of its own; two restores make two', async () => {
    const dataDir = copyOfShop()
    const file = await backUp(dataDir)
    const before = readFolder(dataDir)
    const asides = [(await restore(dataDir, file)).aside ?? '', (await restore(dataDir, file)).aside ?? '']
    expect(new Set(asides).size).toBe(2)
    const again = join(folders.make(), 'data')
    mkdirSync(again)
    cpSync(asides[0] ?? '', join(again, 'nightcap.sqlite'))
    expect(readFolder(again)).toEqual(before)
  })

  it('RESTORE-2 a damaged book of record with its log is set aside as it is, and the backup takes its place', async () => {
    const dataDir = copyOfShop()
    const file = await backUp(dataDir)
    const path = join(dataDir, 'nightcap.sqlite')
    writeFileSync(path, 'nothing of ours'.repeat(1000))
    writeFileSync(`${path}-wal`, 'its log')
    const run = await runNightcap(['restore', file], { NIGHTCAP_DATA_DIR: dataDir })
    expect([run.code, run.output]).toEqual([
      0,
      expect.stringMatching(/now holds [\d,]+ readings[^]*What was there before is at[^]*Start the monitor/),
    ])
    const aside = /before is at (\S+)\.$/m.exec(run.output)?.[1] ?? ''
    expect(readFileSync(aside, 'utf8')).toContain('nothing of ours')
    expect(readFolder(dataDir).readings).toBe(readFolder(whole).readings)
  })

  it('RESTORE-1 refuses a folder that a monitor uses, and changes nothing', async () => {
    const dataDir = copyOfShop()
    const file = await backUp(dataDir)
    const environment = { NIGHTCAP_DATA_DIR: dataDir, NIGHTCAP_HTTP_PORT: '0', NIGHTCAP_MQTT_PORT: '0' }
    const monitor = await spawnMonitor(environment)
    const run = await runNightcap(['restore', file], environment)
    expect([run.code, run.output]).toEqual([
      1,
      expect.stringMatching(/another monitor \(process \d+\) uses the data folder .*stop it first/),
    ])
    expect(await monitor.stop()).toBe(0)
    expect(readdirSync(dataDir).filter((name) => /restor/.test(name))).toEqual([])
  })

  const refused: readonly [string, (file: string) => void, number, RegExp][] = [
    [
      'of a newer release',
      (file) => alter(file, (db) => db.pragma(`user_version = ${SCHEMA_VERSION + 1}`)),
      3,
      /newer Nightcap .*start the newer release/,
    ],
    [
      'that is another program’s database',
      (file) => alter(file, (db) => db.exec('DROP TABLE input')),
      1,
      /is no book of record of Nightcap: name a backup/,
    ],
    [
      'that is damaged',
      (file) => writeFileSync(file, readFileSync(file).subarray(0, 4096 * 30)),
      3,
      /is damaged .*Use an earlier backup/,
    ],
    ['that is no database', (file) => writeFileSync(file, 'a letter'.repeat(999)), 3, /is damaged/],
  ]
  it.each(refused)(
    'RESTORE-1 refuses a file %s, and the shop stays as it was',
    async (_, spoil, code, words) => {
      const dataDir = copyOfShop()
      const file = await backUp(dataDir)
      spoil(file)
      const before = readFolder(dataDir)
      const run = await runNightcap(['restore', file], { NIGHTCAP_DATA_DIR: dataDir })
      expect([run.code, run.output]).toEqual([code, expect.stringMatching(words)])
      expect(readFolder(dataDir)).toEqual(before)
      expect(readdirSync(dataDir).filter((name) => /restor/.test(name))).toEqual([])
    },
  )

  it('RESTORE-1 a file that is not there is named', async () => {
    const run = await runNightcap(['restore', '/no/such/copy.sqlite'], { NIGHTCAP_DATA_DIR: copyOfShop() })
    expect([run.code, run.output]).toEqual([
      1,
      expect.stringMatching(/no book of record at \/no\/such\/copy.sqlite: look at the name/),
    ])
  })

  it('RESTORE-5 the restored monitor goes on: the same alarms are open, and nobody is told again what they were told', async () => {
    const dataDir = copyOfShop()
    hooks.length = 0
    const first = await startedMonitor(dataDir)
    await waitFor('all notices to leave', () => (first.book().pendingNotices(1).length === 0 ? true : null))
    const alarms = [...first.monitor.engine.state().shop.alarms.values()].filter((a) => a.state !== 'normal')
    await first.monitor.close()
    const told = [...hooks]
    expect(told.length).toBeGreaterThan(0)
    const restored = join(folders.make(), 'data')
    await restore(restored, await backUp(dataDir))
    cpSync(`${dataDir}-key`, `${restored}-key`)
    const second = await startedMonitor(restored)
    try {
      await second.monitor.engine.tick()
      const open = [...second.monitor.engine.state().shop.alarms.values()].filter((a) => a.state !== 'normal')
      expect(open).toEqual(alarms)
      expect(second.book().pendingNotices(10)).toEqual([])
      expect(hooks).toEqual(told)
    } finally {
      await second.monitor.close()
    }
    expect(new Set(hooks).size).toBe(hooks.length)
  })
})

/** A node of the shop, and the shop's site. */
function readFolderNode(dataDir: string): { id: string; site: string } {
  const {
    nodes: [id = ''],
    site,
  } = readFolder(dataDir)
  return { id, site }
}

function alter(file: string, change: (db: BetterSqlite3.Database) => unknown): void {
  const db = new BetterSqlite3(file)
  change(db)
  db.close()
}

/** A monitor whose clock stands where the shop's past ends. */
async function startedMonitor(
  dataDir: string,
): Promise<{ monitor: RunningMonitor; book: () => BookOfRecord }> {
  const outcome = parseConfig({
    NIGHTCAP_DATA_DIR: dataDir,
    NIGHTCAP_HTTP_PORT: '0',
    NIGHTCAP_MQTT_PORT: '0',
  })
  if (!outcome.ok) throw new Error(outcome.problems.join('\n'))
  let opened: BookOfRecord | null = null
  const monitor = await startMonitor({
    config: outcome.config,
    log: createLog({ level: 'silent' }),
    clock: { nowMs: () => NOW, realMs: (ms) => ms },
    post: createHttpPost(),
    prepare: ({ book }) => (opened = book),
  })
  return {
    monitor,
    book: () => {
      if (!opened) throw new Error('no book was opened')
      return opened
    },
  }
}
