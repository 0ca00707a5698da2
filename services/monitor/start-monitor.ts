import { createSystemClock } from '../adapters/clock/system-clock.ts'
import { createHttpPost } from '../adapters/http-post/create-http-post.ts'
import { createInfluxReader } from '../adapters/history-influx/create-influx-reader.ts'
import { createInfluxWriter } from '../adapters/history-influx/create-influx-writer.ts'
import { createSqliteAccountStore } from '../adapters/records-sqlite/create-account-store.ts'
import { createSqliteBookOfRecord } from '../adapters/records-sqlite/create-book-of-record.ts'
import { createSqliteHistoryReader } from '../adapters/records-sqlite/create-history-reader.ts'
import { createSqliteRecordsReader } from '../adapters/records-sqlite/create-records-reader.ts'
import { createSqliteNoticeStore } from '../adapters/records-sqlite/create-notice-store.ts'
import { createSqliteSentOnceStore } from '../adapters/records-sqlite/create-sent-once-store.ts'
import { createSqlitePruner } from '../adapters/records-sqlite/create-pruner.ts'
import { openDatabase } from '../adapters/records-sqlite/open-database.ts'
import type { Clock } from '../core/model/ports/clock.ts'
import { READINGS_KEPT_MS } from '../core/model/readings-kept.ts'
import type { AccountStore } from '../core/model/ports/accounts.ts'
import type { HttpPost } from '../core/model/ports/notify.ts'
import type { BookOfRecord } from '../core/model/ports/records.ts'
import { createWebApp } from '../web/app.ts'
import { createSignInCodes, type SignInCodes } from '../web/auth/sign-in-codes.ts'
import { boardDir } from './board-dir.ts'
import type { MonitorConfig } from './config.ts'
import { createEngine, type Engine } from './engine.ts'
import { openCauses } from './open-causes.ts'
import { openOwnHealth } from './open-own-health.ts'
import { openLogFiles } from './open-log-files.ts'
import { openReruns } from './reruns.ts'
import { createForwarder } from './forward-readings.ts'
import type { Log } from './log.ts'
import { listenForBoard } from './listen-for-board.ts'
import { createMonitorPort } from './monitor-port.ts'
import { openBroker } from './open-broker.ts'
import { openTelling } from './open-telling.ts'
import { readSecret } from './read-config.ts'
import { replayWhereNeeded } from './replay-log.ts'
import { startRounds } from './rounds.ts'
import { createSeriesSource } from './series-source.ts'
import { loadTls } from './tls-files.ts'
import { watchCertificates } from './watch-certificates.ts'

export interface MonitorParts {
  readonly config: MonitorConfig
  readonly log: Log
  readonly clock?: Clock
  /** How it posts to push services and webhooks; by itself over the internet. */
  readonly post?: HttpPost
  /** Called with the opened stores before anything else runs: the demo puts its past there. */
  readonly prepare?: (stores: { book: BookOfRecord; accounts: AccountStore }) => void
}

export interface RunningMonitor {
  readonly url: string
  readonly mqttPort: number | null
  readonly brokerSentence: string
  readonly engine: Engine
  readonly accounts: AccountStore
  readonly signInCodes: SignInCodes
  /** A new one-time code for the first owner, or null when there is an owner. */
  readonly firstOwnerCode: () => string | null
  /** Takes nothing new, finishes what is under way, and closes the stores. */
  readonly close: () => Promise<void>
}

type Close = () => unknown

/**
 * Wires and starts the monitor.
 *
 * START-1 one that cannot start lets go of all that it had opened, the last first: else nodes would be answered by a
 *         monitor that tells nobody, and the service would count as running.
 */
export async function startMonitor(parts: MonitorParts): Promise<RunningMonitor> {
  const opened: Close[] = []
  try {
    return await start(parts, (close) => void opened.push(close))
  } catch (error) {
    for (const close of opened.reverse()) await close()
    throw error
  }
}

/** Tells `opened` of all that has to be closed where a later part cannot start. */
async function start(
  { config, log, clock: given, post = createHttpPost(), prepare }: MonitorParts,
  opened: (close: Close) => void,
): Promise<RunningMonitor> {
  const tls = config.http.tls && loadTls(config.http.tls)
  const db = openUsable(config.dataDir, log)
  const book = createSqliteBookOfRecord({ db })
  opened(book.close)
  const reader = createSqliteRecordsReader({ db })
  const accounts = createSqliteAccountStore({ db })
  prepare?.({ book, accounts })

  const certificates = watchCertificates({ config, held: tls, log })
  opened(certificates.stop)
  const clock = given ?? createSystemClock({ notBeforeMs: book.lastAliveMs() ?? 0 })
  const engine = createEngine({ book, clock, log })
  opened(engine.close)
  const broker = await openBroker({
    config,
    settings: engine.state().settings,
    accounts,
    sink: engine,
    clock,
    log,
  })
  opened(broker.door.close)
  const influx = config.influx && { ...config.influx, token: readSecret(config.influx.token) }
  const forwarder = influx && createForwarder({ book, reader, writer: createInfluxWriter(influx), log })
  const past = createSeriesSource({
    book: createSqliteHistoryReader({ db }),
    influx: influx && createInfluxReader(influx, () => engine.state().settings.site.id),
    prefer: config.historyFrom,
    keptMs: READINGS_KEPT_MS,
    waiting: () => forwarder?.waiting() ?? 0,
    nowMs: clock.nowMs,
    log,
  })
  const notices = createSqliteNoticeStore({ db })
  const { telling, deliveries } = openTelling({ config, engine, book, store: notices, clock, post, log })
  const causes = openCauses({ dataDir: config.dataDir, db, engine, clock, log })
  const { own, heartbeat } = openOwnHealth({ config, engine, broker, book, clock, forwarder, post, log })
  const monitor = createMonitorPort({
    engine,
    reader,
    accounts,
    clock,
    config,
    disconnectNode: broker.disconnectNode,
    wayIn: broker.wayIn,
    forwarder,
    problems: () => [...broker.door.problems(), ...telling.keyProblems(), ...certificates.problems()],
    own,
  })
  const reruns = openReruns({ dataDir: config.dataDir, settings: monitor.settings, nowMs: Date.now })
  opened(reruns.close)
  const signInCodes = createSignInCodes({ accounts, nowMs: Date.now })
  const app = createWebApp({
    monitor,
    records: reader,
    past,
    accounts,
    telling,
    reruns,
    causes,
    logFiles: openLogFiles({ dataDir: config.dataDir, settings: monitor.settings }),
    sentOnce: createSqliteSentOnceStore({ db }),
    boardDir: boardDir(),
    config: config.http,
    tls,
    nowMs: Date.now,
    log,
  })
  opened(() => app.close())
  const url = await listenForBoard(app, config.http)
  certificates.follow(app.server)
  const rounds = startRounds({
    engine,
    book,
    reader,
    clock,
    door: broker.door,
    forwarder,
    deliveries,
    notices,
    pruner: createSqlitePruner({ db }),
    causes,
    heartbeat,
    log,
  })

  return {
    url: url.replace('0.0.0.0', '127.0.0.1'),
    mqttPort: broker.port,
    brokerSentence: broker.sentence,
    engine,
    accounts,
    signInCodes,
    firstOwnerCode: () =>
      accounts.people().some((p) => p.role === 'owner' && p.removedMs === null)
        ? null
        : signInCodes.issueFirstOwnerCode().code,
    close: async () => {
      certificates.stop()
      await rounds.stop()
      await broker.door.close()
      await engine.close()
      await app.close()
      await reruns.close()
      book.close()
    },
  }
}

/** The database with a state that this kernel can go on from. */
function openUsable(dataDir: string, log: Log): ReturnType<typeof openDatabase> {
  const db = openDatabase({ dataDir })
  try {
    return replayWhereNeeded({ db, log }) ? openDatabase({ dataDir }) : db
  } catch (error) {
    db.close()
    throw error
  }
}
