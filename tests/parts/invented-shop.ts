import {
  boardViewSchema,
  type BoardView,
  type MachineView,
  type RoomView,
} from '../../services/core/model/views.ts'
import { inventedAlarm } from './invented-alarms.ts'
import { HOUR, MIN } from './invented-courses.ts'
import { calm, drying, serviced, silent, stored, uncapped, type Shown } from './invented-machines.ts'

/** Thursday 26 November 2026, 22:10 in Brussels. */
export const SHOP_NOW_MS = Date.UTC(2026, 10, 26, 21, 10)
/** The next opening after it: Friday 08:30. */
export const SHOP_OPENING_MS = SHOP_NOW_MS + 620 * MIN

/** Machines of the invented shop by what they show: every state there is, one or more each. */
export function inventedMachines(nowMs: number, openingMs = nowMs + 620 * MIN): MachineView[] {
  const shown: Shown = { nowMs, openingMs }
  return [uncapped(shown), calm(shown), drying(shown), silent(shown), serviced(shown), stored(shown)]
}

export function inventedBoard(nowMs: number): BoardView {
  return boardOf(nowMs, nowMs + 620 * MIN)
}

function boardOf(nowMs: number, openingMs: number): BoardView {
  return boardViewSchema.parse({
    nowMs,
    fromMs: nowMs - 12 * HOUR,
    site: {
      id: 'quayside',
      title: 'Quayside Film & Print',
      timeZone: 'Europe/Brussels',
      temperatureUnit: 'degC',
      volumeUnit: 'mL',
      open: false,
      nextChangeMs: openingMs,
    },
    statement: 'Closed until Fri 08:30. 1 machine needs you now.',
    nextSteps: [],
    closedSpans: [{ fromMs: nowMs - 250 * MIN, toMs: nowMs }],
    quiets: [
      {
        id: 'quiet-1',
        kind: 'outOfService',
        machineId: 'stored',
        fromMs: nowMs - 70 * HOUR,
        toMs: null,
        note: 'waits for a part',
      },
    ],
    machines: inventedMachines(nowMs, openingMs),
    rooms: ROOMS,
    shopAlarms: [],
    sensors: { reporting: 9, assigned: 11, unassigned: 1 },
    quarantined: 3,
    openTasks: 3,
    lastReadingMs: nowMs - 3000,
    plaintextBeyondLoopback: false,
  })
}

/** Friday 27 November, 22:10: the whole weekend lies ahead. */
export function weekendBoard(): BoardView {
  const nowMs = SHOP_NOW_MS + 24 * HOUR
  return {
    ...boardOf(nowMs, nowMs + 58 * HOUR + 20 * MIN),
    statement: 'Closed until Mon 08:30. 1 machine needs you now.',
  }
}

/** Thursday 14:10, the shop is open: what is wrong is for today. */
export function openBoard(): BoardView {
  const nowMs = SHOP_NOW_MS - 8 * HOUR
  const board = boardOf(nowMs, nowMs + 18 * HOUR + 20 * MIN)
  const dry = {
    condition: 'airDry',
    subject: { kind: 'room', id: 'back-room' },
    sinceMin: 170,
    value: 36,
  } as const
  const today = inventedAlarm(dry, { nowMs, shopClosed: false })
  const shown = [calm, drying, serviced].map((of) => of({ nowMs, openingMs: nowMs + 18 * HOUR + 20 * MIN }))
  return {
    ...board,
    statement: 'Open until 18:00. 2 things wait for you.',
    site: { ...board.site, open: true, nextChangeMs: nowMs + 230 * MIN },
    closedSpans: [{ fromMs: board.fromMs, toMs: nowMs - 340 * MIN }],
    machines: shown.map((m) => (m.id === 'back' ? { ...m, ...today } : m)),
  }
}

/** A board of a shop on its first day. */
export function emptyBoard(nowMs: number): BoardView {
  return {
    ...inventedBoard(nowMs),
    statement: 'No opening hours set, so the stricter night limits hold all day.',
    nextSteps: [
      'Add the room your machines stand in, under Setup.',
      'Add your machines, under Setup.',
      'Add a sensor node under Sensors, and start it: sensors that are heard appear there by themselves.',
    ],
    closedSpans: [],
    quiets: [],
    machines: [],
    rooms: [],
    sensors: { reporting: 0, assigned: 0, unassigned: 0 },
    quarantined: 0,
    openTasks: 0,
    lastReadingMs: null,
  }
}

const ROOMS: RoomView[] = [
  {
    id: 'floor',
    title: 'Print floor',
    temperatureC: 21.4,
    humidityPct: 45,
    dewPointC: 9,
    vpdKpa: 1.4,
    outdoors: false,
    targetPct: 45,
    waterToLiftKg: 0,
    waterToHoldKgPerH: 0.19,
  },
  {
    id: 'back-room',
    title: 'Back room',
    temperatureC: 20.2,
    humidityPct: 36,
    dewPointC: 4.6,
    vpdKpa: 1.51,
    outdoors: false,
    targetPct: 45,
    waterToLiftKg: 2.1,
    waterToHoldKgPerH: 0.4,
  },
  {
    id: 'yard',
    title: 'Yard',
    temperatureC: 4.1,
    humidityPct: 78,
    dewPointC: 0.6,
    vpdKpa: 0.18,
    outdoors: true,
    targetPct: 45,
    waterToLiftKg: null,
    waterToHoldKgPerH: null,
  },
]
