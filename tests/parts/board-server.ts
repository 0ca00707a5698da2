import { createReadStream, existsSync } from 'node:fs'
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'
import { extname, join, normalize } from 'node:path'
import { may, PERMISSIONS, type Permission, type Role } from '../../services/core/model/permissions.ts'
import type { CausesStatus } from '../../services/core/model/causes-view.ts'
import type { Settings } from '../../services/core/model/settings.ts'
import type { BoardView, SensorsView } from '../../services/core/model/views.ts'
import { toSettingsYaml } from '../../services/codecs/settings-file.ts'
import { settingsVersion } from '../../services/web/settings-version.ts'
import { SETUP_ROUTES } from './board-setup.ts'
import { answerPeople, inventedPeople, type PeopleState } from './board-people.ts'
import { inventedBoard, SHOP_NOW_MS } from './invented-shop.ts'
import { createClosingShop, WELL } from './closing-shop.ts'
import { inventedAlarmList, inventedMeasures, type AlarmAnswer } from './invented-alarm-list.ts'
import { inventedCauses } from './invented-causes.ts'
import { inventedPastRoutes } from './invented-past.ts'
import { inventedMorning } from './invented-morning.ts'
import { inventedTasks, type TaskAnswer } from './invented-alarms.ts'
import { inventedDisposals, inventedRoutines, inventedSymptoms } from './invented-work.ts'
import { rerunRoutes } from './invented-rerun.ts'
import { inventedImportPlan, inventedLogbook } from './invented-logbook.ts'
import { inventedSensors, inventedSettings } from './invented-tasks.ts'

const CSP =
  "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src 'self' data:; font-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'self'"
const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.webmanifest': 'application/manifest+json',
}

/** What the invented shop says; tests change it while it runs. */
export interface ShopState {
  board: BoardView
  tasks: TaskAnswer[]
  alarms: AlarmAnswer[]
  sensors: SensorsView
  settings: Settings
  role: Role
  signedIn: boolean
  /** A shop at closing time, judged by the real kernel. */
  readonly closing: ReturnType<typeof createClosingShop>
  firstOwnerNeeded: boolean
  readonly calls: string[]
  /** What was sent with the calls that change something, as `METHOD /path` and the body. */
  readonly sent: { readonly call: string; readonly body: unknown; readonly key?: string | null }[]
  readonly people: PeopleState
  /** Answers by link. */
  readonly replies: { readonly token: string; readonly body: unknown }[]
  /** Refuses what is said about machines, as a monitor does that cannot write. */
  refusesSaying: boolean
  /** The re-run that is shown. */
  readonly rerun: ReturnType<typeof rerunRoutes>
  causes: CausesStatus
  /** Answered before all others, by a test that brings its own. */
  routes: readonly Route[]
}

export interface BoardServer {
  readonly url: string
  readonly state: ShopState
  /** Sends an event to every open stream. */
  readonly push: (event: string, data: unknown) => void
  /** Cuts the streams and refuses new ones, until called with false. */
  readonly cutLine: (isCut: boolean) => void
  /** As if the computer were off: nothing is answered, files neither, until called with false. */
  readonly turnOff: (isOff: boolean) => void
  /** What changes something arrives and is done, and its answer is lost on the way back. */
  readonly losesAnswers: (isLost: boolean) => void
  readonly close: () => Promise<void>
}

const LAST_EVENT_ID = '41'

export const SIGN_IN = { name: 'Mira', password: 'a long enough password' }

/**
 * Serves the built board and speaks the HTTP contract from invented data, so that its screens can be looked at
 * without a monitor. What the real server does is tested with the real server.
 */
export async function startBoardServer(boardDir: string): Promise<BoardServer> {
  const state: ShopState = {
    board: inventedBoard(SHOP_NOW_MS),
    tasks: inventedTasks(SHOP_NOW_MS),
    alarms: inventedAlarmList(SHOP_NOW_MS),
    sensors: inventedSensors(SHOP_NOW_MS),
    settings: { ...inventedSettings(), contacts: inventedContacts() },
    role: 'owner',
    signedIn: true,
    closing: createClosingShop(),
    firstOwnerNeeded: false,
    calls: [],
    sent: [],
    replies: [],
    people: inventedPeople(),
    refusesSaying: false,
    rerun: rerunRoutes(SHOP_NOW_MS),
    causes: { page: inventedCauses('few'), isCurrent: true, work: null, problem: null },
    routes: [],
  }
  state.closing.live(WELL, 5)
  const streams = new Set<ServerResponse>()
  let isCut = false
  let isOff = false
  let isLost = false
  const server = createServer((request, response) => {
    const url = new URL(request.url ?? '/', 'http://localhost')
    if (isOff) return void response.destroy()
    if (url.pathname.startsWith('/r/')) return void takeReply(state, request, url, response)
    if (!url.pathname.startsWith('/api/')) return serveFile(boardDir, url.pathname, response)
    if (isCut) return void response.destroy()
    if (url.pathname === '/api/v1/events') {
      state.calls.push(`GET /events${url.search}`)
      return openStream(state, streams, response)
    }
    void answer(state, request, url, response, () => isLost && request.method === 'POST')
  })
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  const { port } = server.address() as AddressInfo
  return {
    url: `http://127.0.0.1:${port}`,
    state,
    push: (event, data) => {
      for (const stream of streams) stream.write(`event: ${event}\ndata: ${JSON.stringify(data)}\n\n`)
    },
    cutLine: (cut) => {
      isCut = cut
      if (cut) for (const stream of streams) stream.destroy()
    },
    losesAnswers: (lost) => {
      isLost = lost
    },
    turnOff: (off) => {
      isOff = off
      if (off) server.closeAllConnections()
    },
    close: async () => {
      for (const stream of streams) stream.destroy()
      server.closeAllConnections()
      await new Promise((resolve) => server.close(resolve))
    },
  }
}

function serveFile(boardDir: string, path: string, response: ServerResponse): void {
  const wanted = join(boardDir, normalize(path === '/' ? '/index.html' : path))
  const file = wanted.startsWith(boardDir) && existsSync(wanted) ? wanted : join(boardDir, 'index.html')
  response.writeHead(200, {
    'content-type': TYPES[extname(file)] ?? 'application/octet-stream',
    'content-security-policy': CSP,
  })
  createReadStream(file).pipe(response)
}

function openStream(state: ShopState, streams: Set<ServerResponse>, response: ServerResponse): void {
  if (!state.signedIn) return void response.writeHead(401).end()
  response.writeHead(200, { 'content-type': 'text/event-stream' })
  response.write('retry: 3000\n\n')
  streams.add(response)
  response.on('close', () => streams.delete(response))
}

export type Reply = {
  status: number
  body?: unknown
  yaml?: string
  csv?: string
  etag?: string
  lastEventId?: string
}
export interface Asked {
  readonly call: string
  readonly body: string
  readonly url: URL
  readonly id: string
  readonly isYaml: boolean
  /** Idempotency-Key. */
  readonly key: string | null
  readonly ifMatch: string | null
}
export type Handler = (state: ShopState, asked: Asked) => Reply | Promise<Reply>

/** Answers calls of a method whose path, without its /api/v1, matches. */
export type Route = readonly [method: string, path: RegExp, handler: Handler]

const WORK_ROUTES: readonly Route[] = [
  [
    'GET',
    /^\/task-people$/,
    () => ({ status: 200, body: { people: [{ id: 'person-1', name: SIGN_IN.name }] } }),
  ],
  ['POST', /^\/tasks\/([^/]+)\/(?:assignment|deferral)$/, takeSaying],
  ['POST', /^\/routines\/([^/]+)\/start$/, takeSaying],
  ['POST', /^\/symptoms$/, takeSaying],
  ['POST', /^\/disposals$/, takeSaying],
  ['GET', /^\/routines$/, (state) => ({ status: 200, body: { routines: inventedRoutines(state.settings) } })],
  [
    'GET',
    /^\/symptoms\/([^/]+)$/,
    (state) => ({ status: 200, body: { symptoms: inventedSymptoms(state.settings) } }),
  ],
  ['POST', /^\/(?:cleanings|log-notes|head-changes)$/, takeSaying],
  ['GET', /^\/logbook$/, ({ settings }) => ({ status: 200, body: inventedLogbook(settings, SHOP_NOW_MS) })],
  [
    'POST',
    /^\/logbook\/import(?:\/preview)?$/,
    () => ({ status: 200, body: inventedImportPlan(SHOP_NOW_MS) }),
  ],
  ['GET', /^\/disposals$/, () => ({ status: 200, body: inventedDisposals(SHOP_NOW_MS) })],
  ['GET', /^\/causes$/, ({ causes }) => ({ status: 200, body: causes })],
  [
    'POST',
    /^\/causes\/computations$/,
    (state) => ((state.causes = { ...state.causes, isCurrent: true }), { status: 202, body: state.causes }),
  ],
  ['DELETE', /^\/causes\/computations$/, () => ({ status: 204 })],
  ['GET', /^\/calendars$/, () => ({ status: 200, body: { calendars: [] } })],
]

const ROUTES: readonly Route[] = [
  ['GET', /^\/session$/, (state) => ({ status: 200, body: sessionOf(state) })],
  ['POST', /^\/session$/, signIn],
  [
    'POST',
    /^\/session\/(?:first-owner|link)$/,
    (state, { body }) => enterByCode(state, textOf(fieldsOf(body)['code'])),
  ],
  ['DELETE', /^\/session$/, (state) => ((state.signedIn = false), { status: 204 })],
  ['GET', /^\/board$/, (state) => ({ status: 200, body: state.board, lastEventId: LAST_EVENT_ID })],
  ['GET', /^\/alarms$/, (state) => ({ status: 200, body: { alarms: state.alarms } })],
  ['GET', /^\/alarms\/measures$/, () => ({ status: 200, body: inventedMeasures(SHOP_NOW_MS) })],
  ['POST', /^\/alarms\/([^/]+)\/acknowledgement$/, acknowledge],
  ['POST', /^\/alarms\/([^/]+)\/shelving$/, shelve],
  ['DELETE', /^\/alarms\/([^/]+)\/shelving$/, unshelve],
  ['POST', /^\/machines\/([^/]+)\/(?:care|cap|servicing|error-stop)$/, takeSaying],
  [
    'GET',
    /^\/closing$/,
    ({ closing }) => ({ status: 200, body: { ...closing.view(), names: { mira: SIGN_IN.name } } }),
  ],
  ['GET', /^\/morning$/, ({ board }) => ({ status: 200, body: inventedMorning(board) })],
  ['POST', /^\/morning\/seen$/, takeSaying],
  ['POST', /^\/nozzle-checks$/, takeSaying],
  ['POST', /^\/closing\/steps\/([^/]+)$/, tickStep],
  ['POST', /^\/closing\/finish$/, ({ closing }) => (closing.finish(), { status: 204 })],
  ['POST', /^\/quiet$/, takeSaying],
  ['DELETE', /^\/quiet\/([^/]+)$/, takeSaying],
  [
    'GET',
    /^\/tasks$/,
    (state, { url }) => ({
      status: 200,
      body: {
        tasks: state.tasks.filter(
          (t) => (t.state === 'open') === (url.searchParams.get('state') !== 'closed'),
        ),
      },
    }),
  ],
  ['POST', /^\/tasks\/([^/]+)\/sign-off$/, signOff],
  ...WORK_ROUTES,
  ...inventedPastRoutes,
  ['GET', /^\/sensors$/, (state) => ({ status: 200, body: state.sensors })],
  ['POST', /^\/sensors\/assignment$/, () => ({ status: 204 })],
  [
    'POST',
    /^\/nodes$/,
    (_, { body }) => ({
      status: 201,
      body: { id: fieldsOf(body)['id'], secret: 'an-invented-secret-of-no-use' },
    }),
  ],
  [
    'GET',
    /^\/settings$/,
    (state, { isYaml }) =>
      isYaml
        ? { status: 200, yaml: toSettingsYaml(state.settings) }
        : { status: 200, body: state.settings, etag: settingsVersion(state.settings) },
  ],
  ...SETUP_ROUTES,
]

async function bodyOf(request: IncomingMessage): Promise<string> {
  const chunks: Buffer[] = []
  for await (const chunk of request) chunks.push(chunk as Buffer)
  return Buffer.concat(chunks).toString()
}

/** An answer by link: the token alone is the right to give it. */
async function takeReply(
  state: ShopState,
  request: IncomingMessage,
  url: URL,
  response: ServerResponse,
): Promise<void> {
  state.replies.push({ token: url.pathname.slice('/r/'.length), body: fieldsOf(await bodyOf(request)) })
  response.writeHead(204).end()
}

async function answer(
  state: ShopState,
  request: IncomingMessage,
  url: URL,
  response: ServerResponse,
  isLost: () => boolean,
): Promise<void> {
  const text = await bodyOf(request)
  const path = url.pathname.replace('/api/v1', '')
  state.calls.push(`${request.method} ${path}`)
  const route = [...state.routes, ...state.rerun.routes, ...ROUTES].find(
    ([method, pattern]) => method === request.method && pattern.test(path),
  )
  const needsSession = !path.startsWith('/session')
  const isYaml = `${request.headers['content-type'] ?? ''}${request.headers.accept}`.includes('yaml')
  const ofPeople = () =>
    answerPeople(state.people, {
      method: request.method ?? 'GET',
      path,
      fields: text.startsWith('{') ? fieldsOf(text) : {},
      contacts: state.settings.contacts,
      hasMailServer: state.settings.mail !== undefined,
    })
  const reply: Reply = !route
    ? (ofPeople() ?? problem(404, 'Not found'))
    : needsSession && !state.signedIn
      ? problem(401, 'Not signed in')
      : await route[2](state, {
          call: `${request.method} ${path}`,
          body: text,
          url,
          id: decodeURIComponent(route[1].exec(path)?.[1] ?? ''),
          isYaml,
          key: textOf(request.headers['idempotency-key']) || null,
          ifMatch: textOf(request.headers['if-match']) || null,
        })
  if (isLost()) return void response.destroy()
  response.writeHead(reply.status, {
    'content-type':
      reply.status >= 400
        ? 'application/problem+json'
        : reply.csv !== undefined
          ? 'text/csv'
          : reply.yaml === undefined
            ? 'application/json'
            : 'application/yaml',
    ...(reply.etag === undefined ? {} : { etag: reply.etag }),
    ...(reply.lastEventId === undefined ? {} : { 'last-event-id': reply.lastEventId }),
  })
  response.end(reply.csv ?? reply.yaml ?? (reply.body === undefined ? '' : JSON.stringify(reply.body)))
}

function sessionOf({ signedIn, firstOwnerNeeded, role }: ShopState): unknown {
  if (!signedIn) return { signedIn, firstOwnerNeeded }
  const permissions = (Object.keys(PERMISSIONS) as Permission[]).filter((p) => may(role, p))
  return { signedIn, person: { id: 'person-1', name: SIGN_IN.name, role }, permissions }
}

function enter(state: ShopState, isGood: boolean): Reply {
  if (!isGood)
    return problem(
      401,
      'Not signed in',
      'name or password is wrong: check both, or ask an owner for a new password',
    )
  state.signedIn = true
  return { status: 200, body: sessionOf(state) }
}

/** A code works once. */
function enterByCode(state: ShopState, code: string): Reply {
  return enter(state, state.people.codes.delete(code) || code === 'good-code')
}

/** Mira first, Ben when she does not answer. */
function inventedContacts(): Settings['contacts'] {
  const contact = { morningReport: true, closingReminder: true, push: true }
  return [
    {
      ...contact,
      id: 'mira',
      title: 'Mira',
      personId: 'person-1',
      times: 'always',
      mail: 'mira@example.org',
    },
    {
      ...contact,
      id: 'ben',
      title: 'Ben, at night',
      times: 'closedHours',
      webhookUrl: 'https://example.org/hook',
    },
  ]
}

function signIn(state: ShopState, { body }: { body: string }): Reply {
  const { name, password } = fieldsOf(body)
  return enter(state, name === SIGN_IN.name && password === SIGN_IN.password)
}

function acknowledge(state: ShopState, { id }: { id: string }): Reply {
  for (const machine of state.board.machines) {
    if (machine.alarm?.id === id) machine.alarm.state = 'acknowledged'
  }
  const alarm = state.alarms.find((a) => a.id === id)
  if (alarm?.state === 'returnedUnacknowledged') state.alarms = state.alarms.filter((a) => a !== alarm)
  else if (alarm) Object.assign(alarm, { state: 'acknowledged', acknowledgedBy: SIGN_IN.name })
  return { status: 204 }
}

function shelve(state: ShopState, { id, body, call }: Asked): Reply {
  const given = fieldsOf(body)
  state.sent.push({ call, body: given })
  const alarm = state.alarms.find((a) => a.id === id)
  if (!alarm) return problem(404, 'Not found')
  alarm.state = 'shelved'
  alarm.shelvedBy = SIGN_IN.name
  alarm.shelved = {
    act: { actorId: 'person-1', via: 'screen', atMs: SHOP_NOW_MS },
    untilMs: SHOP_NOW_MS + Number(given['minutes']) * 60_000,
    reason: textOf(given['reason']),
    condition: alarm.condition,
  }
  return { status: 204 }
}

function unshelve(state: ShopState, { id }: Asked): Reply {
  const alarm = state.alarms.find((a) => a.id === id)
  if (alarm) Object.assign(alarm, { state: 'unacknowledged', shelved: null, shelvedBy: null })
  return { status: 204 }
}

/** Keeps what was said, and shows of it what the tests look for. */
function takeSaying(state: ShopState, { call, body, id, key }: Asked): Reply {
  if (state.refusesSaying)
    return problem(503, 'The monitor cannot write now', 'free some disk space, then say it again')
  const given = fieldsOf(body)
  state.sent.push({ call, body: given, key })
  const machine = state.board.machines.find((m) => m.id === id)
  if (call.endsWith('/servicing')) sayServicing(state, id, given['servicing'] === true)
  if (machine && call.endsWith('/servicing'))
    machine.servicedUntilMs = given['servicing'] === true ? state.board.nowMs + 20 * 60_000 : null
  if (call.startsWith('DELETE')) {
    const ended = state.board.quiets.find((q) => q.id === id)
    state.board.quiets = state.board.quiets.filter((q) => q.id !== id)
    for (const m of state.board.machines) if (m.id === ended?.machineId) m.outOfService = false
  }
  return { status: 204 }
}

function sayServicing({ closing }: ShopState, machineId: string, servicing: boolean): void {
  closing.put({ type: 'servicingSaid', ...closing.at(), act: closing.act(), machineId, servicing })
}

function tickStep({ closing }: ShopState, { id, body }: Asked): Reply {
  const { machineId, done } = fieldsOf(body)
  closing.tick(id, typeof machineId === 'string' ? machineId : null, done === true)
  return { status: 204 }
}

function signOff(state: ShopState, { id, body }: { id: string; body: string }): Reply {
  const task = state.tasks.find((t) => t.id === id)
  if (task?.state !== 'open') return problem(409, 'The task is no longer open', 'id: reload the list')
  task.state = 'signedOff'
  task.closedMs = SHOP_NOW_MS
  task.signedOffBy = SIGN_IN.name
  task.signedOff = {
    actorId: 'person-1',
    via: 'screen',
    atMs: SHOP_NOW_MS,
    note: textOf(fieldsOf(body)['note']),
  }
  return { status: 204 }
}

function problem(
  status: number,
  title: string,
  detail = 'try again',
  errors: readonly unknown[] = [],
): Reply {
  return { status, body: { type: 'about:blank', title, status, detail, errors } }
}

function fieldsOf(body: string): Record<string, unknown> {
  return JSON.parse(body || '{}') as Record<string, unknown>
}

function textOf(value: unknown): string {
  return typeof value === 'string' ? value : ''
}
