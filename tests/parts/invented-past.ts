import { createSqliteBookOfRecord } from '../../services/adapters/records-sqlite/create-book-of-record.ts'
import { createSqliteRecordsReader } from '../../services/adapters/records-sqlite/create-records-reader.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import { historyCsv } from '../../services/codecs/history-csv.ts'
import type { Effect } from '../../services/core/model/effect.ts'
import type { Reading } from '../../services/core/model/input.ts'
import type { SaidEntry } from '../../services/core/model/log-entry.ts'
import { QUARTER_MS, type MachineQuarter } from '../../services/core/model/quarter.ts'
import { settingsSchema, type Settings } from '../../services/core/model/settings.ts'
import { taskSchema } from '../../services/core/model/task.ts'
import { historyQuerySchema, pastOf, type PastParts } from '../../services/web/history-past.ts'
import type { Handler, Route } from './board-server.ts'
import { HOUR, MIN } from './invented-courses.ts'
import { SHOP_NOW_MS } from './invented-shop.ts'
import { createTemporaryFolders } from './temporary-folder.ts'

const DAY = 24 * HOUR
/** One reading of the floor was so damp, half a year ago: whoever averages does not see it. */
export const PEAK = { atMs: SHOP_NOW_MS - 190 * DAY - 10 * MIN, humidityPct: 78 }
/** Nothing was measured on the floor for nine days in spring, and for five hours of last night. */
export const LONG_GAP = { fromMs: SHOP_NOW_MS - 260 * DAY, toMs: SHOP_NOW_MS - 251 * DAY }
export const NIGHT_GAP = { fromMs: SHOP_NOW_MS - 20 * HOUR, toMs: SHOP_NOW_MS - 15 * HOUR }
const YEAR_FROM_MS = SHOP_NOW_MS - 365 * DAY
const MINUTES_FROM_MS = SHOP_NOW_MS - 3 * DAY
const QUARTERS_FROM_MS = SHOP_NOW_MS - 40 * DAY

/** Two rooms, two machines and a bottle, with a year behind them: hours at first, minutes of the last days. */
export function pastSettings(): Settings {
  const inks = (id: string) => [
    { id: `${id}-colour`, title: 'Colour', ink: 'colour' as const },
    { id: `${id}-white`, title: 'White', ink: 'white' as const },
  ]
  const machine = (id: string, title: string, room: string) => ({
    id,
    title,
    room,
    heads: [{ id: `${id}-head`, title: 'Head', channelGroups: inks(id) }],
  })
  const sensor = (id: string, quantity: string, kind: string, subject: string) => ({
    id,
    quantity,
    subject: { kind, id: subject },
    intervalMs: HOUR,
  })
  return settingsSchema.parse({
    site: { id: 'quayside', title: 'Quayside Film & Print', timeZone: 'Europe/Brussels' },
    hours: {
      weekly: [1, 2, 3, 4, 5].map((weekday) => ({ weekday, opens: '08:30', closes: '18:00' })),
      holidays: [],
    },
    rooms: [
      { id: 'floor', title: 'Print floor' },
      { id: 'back-room', title: 'Back room' },
    ],
    machines: [
      machine('roll', 'Roll 60, left bench', 'floor'),
      machine('back', 'Sheet A3, back wall', 'back-room'),
    ],
    bottles: [
      {
        id: 'roll-waste',
        title: 'Waste bottle, left bench',
        machines: ['roll'],
        capacityMl: 2000,
        tareKg: 0.2,
      },
    ],
    nodes: [],
    sensors: [
      sensor('floor-node/humidity', 'humidity', 'room', 'floor'),
      sensor('floor-node/temperature', 'temperature', 'room', 'floor'),
      sensor('back-node/humidity', 'humidity', 'room', 'back-room'),
      sensor('back-node/temperature', 'temperature', 'room', 'back-room'),
      sensor('floor-node/mass', 'mass', 'bottle', 'roll-waste'),
    ],
  })
}

let made: PastParts | null = null

/** The book of that year, written once for all tests of a run, through the book's own door. */
export function inventedPast(): PastParts {
  if (made) return made
  const folders = createTemporaryFolders()
  const db = openDatabase({ dataDir: folders.make() })
  process.once('exit', () => {
    db.close()
    folders.removeAll()
  })
  const book = createSqliteBookOfRecord({ db })
  const settings = pastSettings()
  const write = (readings: readonly Reading[], effects: readonly Effect[]): void =>
    book.transaction(() => {
      const seq = book.lastSeq() + 1
      const stamp = { atMs: YEAR_FROM_MS, receivedMs: YEAR_FROM_MS }
      book.appendInput({ type: 'readings', ...stamp, seq, nodeId: 'floor-node', readings: [...readings] })
      book.applyEffects(seq, effects)
    })
  for (const { id, quantity } of settings.sensors) write(readingsOf(id, quantity), [])
  write([], [...quartersOf('roll'), ...quartersOf('back'), ...marks()])
  const records = createSqliteRecordsReader({ db })
  made = {
    monitor: { settings: () => settings, nowMs: () => SHOP_NOW_MS },
    records,
    past: { series: async (query) => ({ points: records.series(query), from: 'book', note: null }) },
  }
  return made
}

function readingsOf(sensorId: string, quantity: Reading['quantity']): Reading[] {
  const times: number[] = []
  for (let atMs = YEAR_FROM_MS; atMs < MINUTES_FROM_MS; atMs += HOUR) times.push(atMs)
  for (let atMs = MINUTES_FROM_MS; atMs < SHOP_NOW_MS; atMs += MIN) times.push(atMs)
  const isFloor = sensorId.startsWith('floor')
  const isSilent = (atMs: number): boolean =>
    isFloor && [LONG_GAP, NIGHT_GAP].some((gap) => atMs >= gap.fromMs && atMs < gap.toMs)
  const readings = times
    .filter((atMs) => !isSilent(atMs))
    .map((atMs) => ({ sensorId, quantity, atMs, value: valueOf(sensorId, quantity, atMs) }))
  if (sensorId !== 'floor-node/humidity') return readings
  return [...readings, { sensorId, quantity, atMs: PEAK.atMs, value: PEAK.humidityPct }]
}

/** Winters are dry, days warmer than nights, the back room damper; the bottle fills for five weeks and is emptied. */
function valueOf(sensorId: string, quantity: Reading['quantity'], atMs: number): number {
  const day = atMs / DAY
  const season = Math.sin((2 * Math.PI * (day - 110)) / 365.25)
  const hours = Math.sin(2 * Math.PI * (day - 0.4))
  const noise = Math.sin(day * 97.3) * Math.sin(day * 31.7)
  const isBack = sensorId.startsWith('back')
  const value =
    quantity === 'humidity'
      ? 45 + 8 * season - 2.5 * hours + 2.5 * noise + (isBack ? 5 : 0)
      : quantity === 'temperature'
        ? 20.5 + 1.5 * season + 1.2 * hours + 0.4 * noise - (isBack ? 1.5 : 0)
        : 0.25 + ((day % 35) / 35) * 1.75
  return Math.round(value * 100) / 100
}

function quartersOf(machineId: string): Effect[] {
  const effects: Effect[] = []
  const firstMs = Math.ceil(QUARTERS_FROM_MS / QUARTER_MS) * QUARTER_MS
  let [colour, white] = [0, 0]
  for (let endMs = firstMs; endMs <= SHOP_NOW_MS; endMs += QUARTER_MS) {
    const hour = (endMs / HOUR) % 24
    const weekday = new Date(endMs).getUTCDay()
    const isWork = weekday >= 1 && weekday <= 5 && hour > 7.5 && hour <= 17
    const isOff = machineId === 'roll' && endMs > SHOP_NOW_MS - 19 * HOUR && endMs <= SHOP_NOW_MS - 18 * HOUR
    const cleans = !isOff && hour % 6 === 3
    const prints = isWork && Math.sin(endMs / HOUR) > -0.3
    ;[colour, white] = prints || cleans ? [0, 0] : [colour + 0.32, white + 0.33]
    effects.push({
      type: 'quarterNoted',
      quarter: {
        machineId,
        endMs,
        seconds: secondsOf({ isOff, cleans, prints }),
        cleanings: cleans ? 1 : 0,
        uncappedS: 0,
        deficitKpa: 1.3,
        inks: [
          { channelGroupId: `${machineId}-colour`, doseKpaH: colour, certainKpaH: colour },
          { channelGroupId: `${machineId}-white`, doseKpaH: white * 1.4, certainKpaH: white },
        ],
      },
    })
  }
  return effects
}

function secondsOf(now: { isOff: boolean; cleans: boolean; prints: boolean }): MachineQuarter['seconds'] {
  if (now.isOff) return { off: 900 }
  if (now.cleans) return { cleaning: 240, standby: 660 }
  return now.prints ? { printing: 780, standby: 120 } : { standby: 900 }
}

/** A few alarms, tasks, checks and entries: of last night, and of the months before. */
function marks(): Effect[] {
  const effects: Effect[] = []
  for (const days of [0.5, 1.5, 20, 80, 190, 300]) {
    const fromMs = SHOP_NOW_MS - days * DAY - 3 * HOUR
    effects.push(
      trouble('airDry', { kind: 'room', id: 'floor' }, fromMs, fromMs + 5 * HOUR),
      trouble('powerLost', { kind: 'machine', id: 'roll' }, fromMs + HOUR, fromMs + 90 * MIN),
      task(`work-${days}`, fromMs + 6 * HOUR, days === 20 ? 'missed' : 'signedOff'),
      ...logged(days),
    )
  }
  return effects
}

function trouble(
  condition: 'airDry' | 'powerLost',
  subject: { kind: 'room' | 'machine'; id: string },
  fromMs: number,
  toMs: number,
): Effect {
  const key = `${subject.kind}:${subject.id}`
  const id = `${condition}|${key}|${fromMs}`
  const ended = { toMs, closedMs: toMs, value: 36, worst: 34, shopClosed: true }
  return {
    type: 'episodeClosed',
    episode: { id, condition, subject, judgedUnder: key, fromMs, openedMs: fromMs, ...ended },
  }
}

function task(id: string, closedMs: number, state: 'signedOff' | 'missed'): Effect {
  return {
    type: 'taskChanged',
    atMs: closedMs,
    task: taskSchema.parse({
      id,
      alarmId: null,
      subject: { kind: 'machine', id: 'roll' },
      title: 'Clean the wiper of Roll 60, left bench',
      why: 'Its routine asks for it.',
      steps: [],
      cautions: [],
      supplies: [],
      urgency: 'today',
      state,
      openedMs: closedMs - DAY,
      closedMs,
      signedOff: null,
    }),
  }
}

function logged(days: number): Effect[] {
  const atMs = SHOP_NOW_MS - days * DAY
  const act = { actorId: 'person-1', via: 'screen' as const, atMs }
  const noted = (entry: SaidEntry): Effect => ({ type: 'logEntryNoted', atMs, entry: { ...entry, act } })
  const isClear = days !== 0.5 && days !== 80
  const missing = isClear ? [] : [{ channelGroupId: 'roll-white', missingNozzles: 8 }]
  const id = `d${String(days).replace('.', '-')}`
  return [
    noted({
      kind: 'nozzleCheck',
      checkId: id,
      machineId: 'roll',
      checkedMs: atMs,
      reason: 'routine',
      missing,
      note: '',
      void: false,
    }),
    noted({
      kind: 'care',
      careId: id,
      machineId: 'roll',
      care: 'cleaned',
      channelGroupIds: [],
      doneMs: atMs + HOUR,
      helpedSaid: null,
      note: '',
      void: false,
    }),
    noted({
      kind: 'note',
      noteId: id,
      subject: { kind: 'room', id: 'floor' },
      text: 'The humidifier was filled.',
      atMs: atMs + 2 * HOUR,
      void: false,
    }),
  ]
}

const answerPast: Handler = async (_, { url, call }) => {
  const asked = historyQuerySchema.safeParse(Object.fromEntries(url.searchParams))
  if (!asked.success) return { status: 400, body: { title: 'Bad request', detail: asked.error.message } }
  const past = await pastOf(asked.data, inventedPast())
  if (!past.ok) return { status: 404, body: { title: 'Not found', detail: past.reason } }
  return call.endsWith('.csv')
    ? { status: 200, csv: historyCsv(past.view, pastSettings().site.timeZone) }
    : { status: 200, body: past.view }
}

/** The routes of the past, as the monitor answers them, over the invented year. */
export const inventedPastRoutes: readonly Route[] = [
  ['GET', /^\/history$/, answerPast],
  ['GET', /^\/history\.csv$/, answerPast],
]
