import cookie from '@fastify/cookie'
import rateLimit from '@fastify/rate-limit'
import Fastify, { LogController, type FastifyBaseLogger, type FastifyInstance } from 'fastify'
import { serializerCompiler } from 'fastify-type-provider-zod'
import type { AccountStore } from '../core/model/ports/accounts.ts'
import type { SeriesSource } from '../core/model/ports/history.ts'
import type { Monitor } from '../core/model/ports/monitor.ts'
import type { Reruns } from '../core/model/ports/reruns.ts'
import type { LogFiles } from '../core/model/ports/log-files.ts'
import type { Causes } from '../core/model/ports/causes.ts'
import type { Telling } from '../core/model/ports/telling.ts'
import type { RecordsReader } from '../core/model/ports/records.ts'
import type { SentOnceStore } from '../core/model/ports/sent-once.ts'
import { createGuards, refuseUnguardedRoute } from './auth/guards.ts'
import { createPasswords } from './auth/passwords.ts'
import { createSessions } from './auth/session.ts'
import { createSignInBackOff } from './auth/sign-in-back-off.ts'
import { createSignInCodes } from './auth/sign-in-codes.ts'
import { addBoardFiles } from './board-files.ts'
import { createEventStreams, type StreamLimits } from './event-stream.ts'
import { createMetrics } from './metrics.ts'
import { addOpenApi, openApiRoutes } from './openapi.ts'
import { addProblemHandlers, compileValidator, sendError } from './problem.ts'
import { deliveryRoutes } from './routes/deliveries.ts'
import { deviceRoutes } from './routes/devices.ts'
import { readingsCsvRoutes } from './routes/readings-csv.ts'
import { replyRoutes } from './routes/replies.ts'
import { tellingRoutes } from './routes/telling.ts'
import { alarmRoutes } from './routes/alarms.ts'
import { boardRoutes } from './routes/board.ts'
import { causesRoutes } from './routes/causes.ts'
import { closingRoutes } from './routes/closing.ts'
import { morningRoutes } from './routes/morning.ts'
import { contactRoutes } from './routes/contacts.ts'
import { calendarFeedRoutes, calendarRoutes } from './routes/calendars.ts'
import { disposalRoutes } from './routes/disposals.ts'
import { taskPlanRoutes } from './routes/task-plans.ts'
import { eventRoutes } from './routes/events.ts'
import { historyRoutes } from './routes/history.ts'
import { nodeRoutes } from './routes/nodes.ts'
import { learnedRoutes } from './routes/learned.ts'
import { machineRoutes } from './routes/machines.ts'
import { LOG_ENTRY_ROUTES, newEntryRoutes } from './routes/log-kinds.ts'
import { logbookRoutes } from './routes/logbook.ts'
import { ownHealthRoutes } from './routes/own-health.ts'
import { peopleRoutes } from './routes/people.ts'
import { programRoutes } from './routes/programs.ts'
import { rerunRoutes } from './routes/reruns.ts'
import { sensorRoutes } from './routes/sensors.ts'
import { sensorReplacementRoutes } from './routes/sensor-replacement.ts'
import { powerRoutes } from './routes/power.ts'
import { quietRoutes } from './routes/quiet.ts'
import { seriesRoutes } from './routes/series.ts'
import { sessionRoutes } from './routes/session.ts'
import { settingsRoutes } from './routes/settings.ts'
import { settingsRecordRoutes } from './routes/settings-record.ts'
import { taskRoutes } from './routes/tasks.ts'
import { addPromptClose } from './prompt-close.ts'
import { addRefusalHeaders, addSecurityHeaders } from './security-headers.ts'
import { addSentOnce } from './sent-once.ts'
import { createSettingsChanges } from './settings-changes.ts'
import type { WebConfig, WebParts } from './web-parts.ts'

export interface WebAppParts {
  readonly monitor: Monitor
  readonly records: RecordsReader
  readonly past: SeriesSource
  readonly telling: Telling
  readonly reruns: Reruns
  readonly causes: Causes
  readonly logFiles: LogFiles
  readonly accounts: AccountStore
  readonly sentOnce: SentOnceStore
  /** Folder of the built board; it may be missing. */
  readonly boardDir: string
  readonly config: WebConfig
  /** Certificate and key, both PEM: the board then speaks https. */
  readonly tls?: { readonly cert: Buffer; readonly key: Buffer } | null
  /** A pino logger made with `LOG_REDACTION`. */
  readonly log: FastifyBaseLogger
  /** The wall clock in ms since 1970, for sessions and codes; not the monitor's, which runs fast in a demo. */
  readonly nowMs: () => number
  readonly streamLimits?: Partial<StreamLimits>
}

/** For pino's option `redact`: what could hold a secret, should anything ever log a request or its body. */
export const LOG_REDACTION = [
  'req.headers.cookie',
  'req.headers.authorization',
  'res.headers["set-cookie"]',
  '*.password',
  '*.secret',
  '*.token',
]

/**
 * The HTTP app: every route, the board's files, and the guard before them. It opens no port; the caller listens
 * and closes. Closing it ends all event streams at once.
 *
 * @throws {RouteUnguardedError} from `ready()` when a route does not say who may use it.
 */
export function createWebApp(given: WebAppParts): FastifyInstance {
  const { boardDir, config, log, tls = null } = given
  const parts = createParts(given)
  const app: FastifyInstance = Fastify({
    https: tls && { cert: tls.cert, key: tls.key, minVersion: 'TLSv1.2' },
    loggerInstance: log,
    logController: new LogController({ disableRequestLogging: true }),
    trustProxy: config.trustedProxies.length > 0 ? [...config.trustedProxies] : false,
    bodyLimit: 1_000_000,
    requestTimeout: 30_000,
    routerOptions: { maxParamLength: 400 },
    frameworkErrors: (error, request, reply) => void sendError(error, request, addRefusalHeaders(reply)),
  })
  app.setValidatorCompiler(compileValidator)
  app.setSerializerCompiler(serializerCompiler)
  app.removeContentTypeParser('text/plain')
  app.decorateRequest('caller', null)
  app.addHook('onRoute', refuseUnguardedRoute)
  addProblemHandlers(app)
  addSecurityHeaders(app, config)
  app.register(cookie)
  // After the plugins above, so that even a refused request gets their headers and has its cookies read.
  app.after(() => {
    for (const guard of createGuards(parts)) app.addHook('onRequest', guard)
  })
  app.register(rateLimit, { global: false })
  addSentOnce(app, { store: given.sentOnce, nowMs: given.nowMs })
  addOpenApi(app)
  addApi(app, parts)
  addBoardFiles(app, boardDir)
  addPromptClose(app, parts.streams)
  return app
}

function createParts({
  monitor,
  records,
  past,
  telling,
  reruns,
  causes,
  logFiles,
  accounts,
  config,
  nowMs,
  streamLimits,
}: WebAppParts): WebParts {
  const streams = createEventStreams({ monitor, records, ...(streamLimits ? { limits: streamLimits } : {}) })
  return {
    monitor,
    records,
    past,
    telling,
    reruns,
    causes,
    logFiles,
    accounts,
    config,
    nowMs,
    sessions: createSessions({ accounts, nowMs }),
    signInCodes: createSignInCodes({ accounts, nowMs }),
    passwords: createPasswords(),
    backOff: createSignInBackOff({ nowMs }),
    streams,
    settingsChanges: createSettingsChanges(monitor),
    metrics: createMetrics({ monitor, records, streams }),
  }
}

const API_ROUTES = [
  sessionRoutes,
  boardRoutes,
  alarmRoutes,
  closingRoutes,
  morningRoutes,
  contactRoutes,
  tellingRoutes,
  deviceRoutes,
  deliveryRoutes,
  taskRoutes,
  taskPlanRoutes,
  disposalRoutes,
  calendarRoutes,
  learnedRoutes,
  machineRoutes,
  ...LOG_ENTRY_ROUTES,
  newEntryRoutes,
  logbookRoutes,
  quietRoutes,
  powerRoutes,
  seriesRoutes,
  readingsCsvRoutes,
  historyRoutes,
  causesRoutes,
  sensorRoutes,
  sensorReplacementRoutes,
  settingsRoutes,
  settingsRecordRoutes,
  rerunRoutes,
  nodeRoutes,
  peopleRoutes,
  programRoutes,
  eventRoutes,
]

function addApi(app: FastifyInstance, parts: WebParts): void {
  for (const routes of API_ROUTES) app.register(routes, { ...parts, prefix: '/api/v1' })
  app.register(openApiRoutes, { ...parts, prefix: '/api' })
  app.register(ownHealthRoutes, parts)
  app.register(calendarFeedRoutes, parts)
  app.register(replyRoutes, parts)
  app.addHook('onSend', async (_, reply) => {
    // Answers of the API are about now, and some hold a secret.
    if (!reply.hasHeader('cache-control')) reply.header('cache-control', 'no-store')
  })
  app.addHook('onResponse', async (request, reply) => {
    const { method, routeOptions } = request
    const route = routeOptions.url ?? 'none'
    const seconds = reply.elapsedTime / 1000
    parts.metrics.answered({ method, route, status: reply.statusCode, seconds })
    request.log.debug({ method, route, status: reply.statusCode, seconds }, 'answered')
  })
}
