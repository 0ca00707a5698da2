import { effect, signal, untracked, type ReadonlySignal } from '@preact/signals'
import type { BoardView } from '../../../services/core/model/views.ts'
import { createClient, type Client, type Fetch } from '../api/client.ts'
import { createShopApi } from '../api/shop-api.ts'
import { createTellingApi } from '../api/telling-api.ts'
import { createCoalescer, type Timers } from '../live/coalesce.ts'
import { createEntrance } from '../live/entrance.ts'
import { createEventFeed, type EventFeed, type EventLine } from '../live/event-feed.ts'
import { readingsOf } from '../live/readings.ts'
import { createAlarmsModel, type AlarmsModel } from './alarms-model.ts'
import type { UnsentStore } from '../phone/unsent.ts'
import { unsentLabel } from '../words/unsent-words.ts'
import { createCausesApi } from '../api/causes-api.ts'
import { createCausesModel, type CausesModel } from './causes-model.ts'
import type { Device } from '../phone/notice-ability.ts'
import { createBoardModel, type BoardModel } from './board-model.ts'
import { createClosingModel, type ClosingModel } from './closing-model.ts'
import { createCalendarsModel, type CalendarsModel } from './calendars-model.ts'
import { createLogModel, type LogModel } from './log-model.ts'
import { createLogApi } from '../api/log-api.ts'
import { createMorningModel, type MorningModel } from './morning-model.ts'
import { createClock, type Clock } from './clock.ts'
import { createUnsentModel, type UnsentModel } from './unsent-model.ts'
import type { Invitation, Route } from './route.ts'
import { createPeopleModel, type PeopleModel } from './people-model.ts'
import { createAskPast } from '../api/past-api.ts'
import { createPastModel, type PastModel } from './past-model.ts'
import { createPhoneModel, type PhoneModel } from './phone-model.ts'
import { createSensorsModel, type SensorsModel } from './sensors-model.ts'
import { createSessionModel, type SessionModel } from './session-model.ts'
import { createSettingsModel, type SettingsModel } from './settings-model.ts'
import { createTasksModel, type TasksModel } from './tasks-model.ts'
import { createWorkModel, type WorkModel } from './work-model.ts'
import { createRerunApi } from '../api/rerun-api.ts'
import { createRerunModel, type RerunModel } from './rerun-model.ts'
import { createWorkApi } from '../api/work-api.ts'
import { createTellingModel, type TellingModel } from './telling-model.ts'
import type { ThemeModel } from './theme.ts'

export interface AppModel {
  readonly route: ReadonlySignal<Route>
  readonly invitation: ReadonlySignal<Invitation | null>
  readonly clock: Clock
  readonly theme: ThemeModel
  readonly session: SessionModel
  readonly board: BoardModel
  readonly closing: ClosingModel
  readonly morning: MorningModel
  readonly tasks: TasksModel
  readonly work: WorkModel
  readonly log: LogModel
  readonly calendars: CalendarsModel
  readonly alarms: AlarmsModel
  readonly causes: CausesModel
  readonly past: PastModel
  readonly sensors: SensorsModel
  readonly settings: SettingsModel
  readonly unsent: UnsentModel
  readonly people: PeopleModel
  readonly phone: PhoneModel
  readonly telling: TellingModel
  readonly rerun: RerunModel
  readonly feed: Pick<EventFeed, 'lostSinceMs'>
  /** For pages that are fetched late and bring their own calls. */
  readonly ask: Client['ask']
  readonly goTo: (route: Route) => void
  readonly invite: (invitation: Invitation | null) => void
  readonly start: () => void
  readonly everySecond: () => void
  /** The device says that it has a line again. */
  readonly lineIsBack: () => void
}

export interface AppParts {
  readonly fetch: Fetch
  /** With what happened after that event; null: from now on. */
  readonly openEvents: (afterId: string | null) => EventLine
  readonly timers: Timers
  readonly theme: ThemeModel
  readonly device: Device
  readonly unsentStore: UnsentStore
  readonly newKey: () => string
}

const CHANGES = ['alarm', 'task', 'settings'] as const
const BOARD_EVERY_MS = 60_000
/** Where new readings cannot be placed, the board is asked for again, but not for each of them. */
const MOVED_EVERY_MS = 5_000
/** A sensor that was not heard before shows soon after it was. */
const HEARD_EVERY_MS = 1_000
const SEND_EVERY_MS = 30_000

/** All models, and who tells whom. */
export function createApp({
  fetch,
  openEvents,
  timers,
  theme,
  device,
  unsentStore,
  newKey,
}: AppParts): AppModel {
  const clock = createClock(timers.nowMs)
  const client = createClient({
    fetch,
    onSignedOut: () => session.ended(),
    onUnreachable: () => feed.suspect(),
    newKey,
    keep: (said) => unsent.keep(said),
  })
  const api = createShopApi(client)
  const session = createSessionModel(api)
  const board = createBoardModel(api, clock)
  const closing = createClosingModel(api)
  const morning = createMorningModel(api)
  const tasks = createTasksModel(api)
  const workApi = createWorkApi(client)
  const calendars = createCalendarsModel(workApi)
  const work = createWorkModel(workApi, async () => {
    tasks.hush()
    await tasks.load()
  })
  const log = createLogModel(createLogApi(client))
  const alarms = createAlarmsModel(api)
  const causes = createCausesModel(createCausesApi(client), timers)
  const past = createPastModel(createAskPast(client), timers, () => clock.nowMs.peek())
  const sensors = createSensorsModel(api)
  const settings = createSettingsModel(api)
  const tellingApi = createTellingApi(client)
  const people = createPeopleModel(tellingApi, timers.nowMs)
  const phone = createPhoneModel(tellingApi, device)
  const telling = createTellingModel(tellingApi)
  const rerun = createRerunModel(createRerunApi(client))
  const unsent = createUnsentModel({
    store: unsentStore,
    post: ({ key, path, body }) =>
      client.ask({ method: 'POST', path, key, ...(body === null ? {} : { body }) }),
    label: (said) =>
      unsentLabel(said, {
        machine: (id) => board.board.peek()?.machines.find((m) => m.id === id)?.title,
        task: (id) => tasks.open.peek()?.find((t) => t.id === id)?.title,
        alarm: (id) => alarmTitle(board.board.peek(), id),
        step: closing.stepText,
        bottle: (id) => work.disposals.peek()?.bottles.find((b) => b.id === id)?.title,
      }),
    nowMs: timers.nowMs,
    onSent: () => refresh.call(),
  })
  const route = signal<Route>({ page: 'board' })
  const invitation = signal<Invitation | null>(null)

  const seesSensors = ({ page }: Route): boolean =>
    session.may('seeSensors') && (page === 'sensors' || page === 'setup')
  let askedMs = -Infinity
  const loadBesideBoard = (): void => {
    if (session.may('seeTasks')) void tasks.load()
    if (session.may('seeTasks') && route.peek().page === 'closing') void closing.load()
    if (route.peek().page === 'alarms') void alarms.load()
    if (session.may('seeSettings')) void settings.load()
    if (seesSensors(route.peek())) void sensors.load()
  }
  const loadAll = (): void => {
    askedMs = timers.nowMs()
    void board.load()
    loadBesideBoard()
  }
  let sentMs = -Infinity
  const sendUnsent = (): void => {
    sentMs = timers.nowMs()
    void unsent.send()
  }
  const refresh = createCoalescer({ everyMs: 1000, run: loadAll, timers })
  const moved = createCoalescer({ everyMs: MOVED_EVERY_MS, run: () => void board.load(), timers })
  const heard = createCoalescer({ everyMs: HEARD_EVERY_MS, run: () => void sensors.load(), timers })
  /** The newest event that the board knows of, until a line tells what comes after it. */
  let shownThroughId: string | null = null
  const feed = createEventFeed({
    open: () => openEvents(shownThroughId),
    names: [...CHANGES, 'latest'],
    onOpen: () => {
      if (shownThroughId === null) refresh.call()
      else loadBesideBoard()
      shownThroughId = null
      sendUnsent()
    },
    onEvent: (name, data) => {
      if (name !== 'latest') return refresh.call()
      const readings = readingsOf(data)
      if (seesSensors(route.peek()) && !sensors.take(readings)) heard.call()
      if (!board.take(readings)) moved.call()
    },
    // Said to people, so told by the shop's clock and not by this device's.
    timers: { ...timers, nowMs: () => clock.nowMs.peek() },
  })
  const entrance = createEntrance({
    loadBoard: () => {
      askedMs = timers.nowMs()
      return board.load()
    },
    openLine: (afterId) => {
      shownThroughId = afterId
      feed.start()
    },
    timers,
  })
  const models = [
    board,
    closing,
    morning,
    tasks,
    work,
    log,
    calendars,
    alarms,
    causes,
    past,
    sensors,
    settings,
    unsent,
    people,
    phone,
    telling,
    rerun,
  ]
  return {
    route,
    invitation,
    clock,
    theme,
    session,
    board,
    closing,
    morning,
    tasks,
    work,
    log,
    calendars,
    alarms,
    causes,
    past,
    sensors,
    settings,
    unsent,
    people,
    phone,
    telling,
    rerun,
    feed,
    ask: client.ask,
    goTo: (next) => {
      route.value = next
    },
    invite: (next) => {
      invitation.value = next
    },
    start: () => {
      effect(() => {
        if (settings.saved.value) board.bind(settings.saved.value)
      })
      effect(() => {
        if (seesSensors(route.value)) void sensors.load()
      })
      followSession(session, {
        begin: (personId) => {
          entrance.enter()
          void unsent.begin(personId).then(unsent.send)
        },
        end: () => {
          entrance.leave()
          endAll([refresh, moved, heard], feed, models)
        },
      })
      void session.load()
    },
    everySecond: () => {
      clock.tick()
      if (route.peek().page === 'rerun') rerun.everySecond()
      if (session.session.peek()?.signedIn && timers.nowMs() - askedMs >= BOARD_EVERY_MS) loadAll()
      if (unsent.waiting.peek() > 0 && timers.nowMs() - sentMs >= SEND_EVERY_MS) sendUnsent()
    },
    lineIsBack: () => {
      if (session.session.peek()?.signedIn) sendUnsent()
    },
  }
}

/** Begins when someone is signed in, and again for someone else; ends with the session. */
function followSession(
  session: SessionModel,
  { begin, end }: { begin: (personId: string) => void; end: () => void },
): void {
  let personId: string | null = null
  effect(() => {
    const now = session.session.value
    const id = now?.signedIn ? now.person.id : null
    if (id === personId) return
    personId = id
    // What these read must not call this effect again.
    untracked(() => (id === null ? end() : begin(id)))
  })
}

function endAll(
  timers: readonly { stop: () => void }[],
  feed: EventFeed,
  models: readonly { forget: () => void }[],
): void {
  feed.stop()
  for (const timer of timers) timer.stop()
  for (const model of models) model.forget()
}

function alarmTitle(board: BoardView | null, alarmId: string): string | undefined {
  const ofMachine = board?.machines.find((m) => m.alarm?.id === alarmId)
  return ofMachine?.alarm?.title ?? board?.shopAlarms.find((a) => a.id === alarmId)?.title
}
