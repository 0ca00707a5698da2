import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { FastifyInstance, InjectOptions, LightMyRequestResponse, RouteOptions } from 'fastify'
import pino from 'pino'
import { createSqliteAccountStore } from '../../services/adapters/records-sqlite/create-account-store.ts'
import { createSqliteBookOfRecord } from '../../services/adapters/records-sqlite/create-book-of-record.ts'
import { createSqliteHistoryReader } from '../../services/adapters/records-sqlite/create-history-reader.ts'
import { createSqliteRecordsReader } from '../../services/adapters/records-sqlite/create-records-reader.ts'
import { createVapidKeys } from '../../services/adapters/notify-push/create-push-sender.ts'
import { createSqliteNoticeStore } from '../../services/adapters/records-sqlite/create-notice-store.ts'
import { createSqliteSentOnceStore } from '../../services/adapters/records-sqlite/create-sent-once-store.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import type { AccountStore, PersonRole } from '../../services/core/model/ports/accounts.ts'
import type { BookOfRecord, RecordsReader } from '../../services/core/model/ports/records.ts'
import type { NoticeStore } from '../../services/core/model/ports/notice-store.ts'
import { initialKernel } from '../../services/core/kernel/state.ts'
import { openCauses } from '../../services/monitor/open-causes.ts'
import { createSealer } from '../../services/monitor/key-file.ts'
import { createSeriesSource } from '../../services/monitor/series-source.ts'
import { openLogFiles } from '../../services/monitor/open-log-files.ts'
import { openReruns } from '../../services/monitor/reruns.ts'
import { createTelling, type TellingInside } from '../../services/monitor/telling-port.ts'
import { createWebApp, LOG_REDACTION, type WebAppParts } from '../../services/web/app.ts'
import { createSecret, sha256 } from '../../services/web/auth/secrets.ts'
import { createSessions } from '../../services/web/auth/session.ts'
import { createSignInCodes, type SignInCodes } from '../../services/web/auth/sign-in-codes.ts'
import { createScriptedMonitor, type ScriptedMonitor } from './scripted-monitor.ts'

export const ORIGIN = 'http://localhost:80'
export const PASSWORD = 'a long enough password'

/** The real HTTP app on the real SQLite store; only the monitor behind it is scripted. */
export interface WebShop {
  readonly app: FastifyInstance
  readonly monitor: ScriptedMonitor
  readonly accounts: AccountStore
  readonly records: RecordsReader
  readonly book: BookOfRecord
  readonly notices: NoticeStore
  readonly telling: TellingInside
  readonly codes: SignInCodes
  /** Every route, as the framework reported it. */
  readonly routes: RouteOptions[]
  readonly log: () => string
  readonly wait: (ms: number) => void
  /** Headers of a fresh session of a person of this role, made at need; or of a program's token. */
  readonly headersOf: (role: PersonRole | 'program') => Record<string, string>
  readonly send: (
    role: PersonRole | 'program' | null,
    request: InjectOptions,
  ) => Promise<LightMyRequestResponse>
  /** Another app on the same stores, as after a stop and a start. */
  readonly reopened: () => Promise<FastifyInstance>
  readonly close: () => Promise<void>
}

export async function openWebShop(
  change: Partial<Pick<WebAppParts, 'config' | 'boardDir' | 'streamLimits'>> & { title?: string } = {},
): Promise<WebShop> {
  const dataDir = mkdtempSync(join(tmpdir(), 'nightcap-web-'))
  const db = openDatabase({ dataDir })
  const accounts = createSqliteAccountStore({ db })
  const records = createSqliteRecordsReader({ db })
  const monitor = createScriptedMonitor(change.title === undefined ? {} : { title: change.title })
  const notices = createSqliteNoticeStore({ db })
  const telling = createTelling({
    store: notices,
    sealer: createSealer({
      keyFile: `${dataDir}-key`,
      dataDir,
      anythingSealed: () => notices.sealedNames().length > 0,
    }),
    publicUrl: 'https://shop.example.net',
    settings: monitor.settings,
    nowMs: monitor.nowMs,
    createPushKeys: createVapidKeys,
  })
  let now = 1_750_000_000_000
  const nowMs = (): number => now
  const written: string[] = []
  const log = pino({ level: 'trace', redact: LOG_REDACTION }, { write: (line) => void written.push(line) })
  const reruns = openReruns({ dataDir, settings: monitor.settings, nowMs: Date.now })
  const causes = openCauses({
    dataDir,
    db,
    engine: { state: () => initialKernel(monitor.settings()) },
    clock: { nowMs: monitor.nowMs },
    log,
  })
  const parts: WebAppParts = {
    monitor,
    records,
    past: createSeriesSource({
      book: createSqliteHistoryReader({ db }),
      influx: null,
      prefer: 'book',
      keptMs: Infinity,
      waiting: () => 0,
      nowMs,
      log,
    }),
    accounts,
    telling,
    reruns,
    causes,
    logFiles: openLogFiles({ dataDir, settings: monitor.settings }),
    sentOnce: createSqliteSentOnceStore({ db }),
    boardDir: join(dataDir, 'no-board'),
    config: { allowedHosts: [], secureCookies: false, trustedProxies: [] },
    log,
    nowMs,
    ...change,
  }
  const app = createWebApp(parts)
  const routes: RouteOptions[] = []
  app.addHook('onRoute', (route) => void routes.push(route))
  await app.ready()
  const headersOf = createHeaders(accounts, nowMs)
  return {
    app,
    monitor,
    accounts,
    records,
    notices,
    telling,
    book: createSqliteBookOfRecord({ db }),
    codes: createSignInCodes({ accounts, nowMs }),
    routes,
    log: () => written.join(''),
    wait: (ms) => (now += ms),
    headersOf,
    send: (role, request) =>
      app.inject({
        ...request,
        headers: { origin: ORIGIN, ...(role ? headersOf(role) : {}), ...request.headers },
      }),
    reopened: async () => {
      const again = createWebApp(parts)
      await again.ready()
      return again
    },
    close: async () => {
      await app.close()
      await reruns.close()
      await causes.stop()
      db.close()
      rmSync(dataDir, { recursive: true })
      rmSync(`${dataDir}-key`, { force: true })
    },
  }
}

function createHeaders(accounts: AccountStore, nowMs: () => number): WebShop['headersOf'] {
  const sessions = createSessions({ accounts, nowMs })
  return (role) => {
    if (role === 'program') {
      const secret = createSecret()
      const id = `program-${role}`
      accounts.putCredential({
        id,
        kind: 'program',
        title: 'Job log',
        secretHash: sha256(secret),
        createdMs: nowMs(),
      })
      return { authorization: `Bearer ${secret}` }
    }
    const id = `person-${role}`
    if (!accounts.person(id)) {
      // A hash that no password matches: these people come in by their session.
      accounts.addPerson({ id, name: `The ${role}`, role, createdMs: nowMs(), passwordHash: '' })
    }
    return { cookie: `nightcap_session=${sessions.open(id)}` }
  }
}

/** The problem details of an answer, as JSON. */
export function problemOf(response: LightMyRequestResponse): {
  status: number
  title: string
  detail: string
  errors?: { pointer: string; detail: string }[]
} {
  return response.json()
}
