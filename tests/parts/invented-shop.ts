import { inventedAlarms } from './invented-tasks.ts'
import { boardViewSchema, type BoardView, type MachineView } from '../../services/core/model/views.ts'

const MIN = 60_000
const HOUR = 60 * MIN

/** Thursday 26 November 2026, 22:10 in Brussels. */
export const SHOP_NOW_MS = Date.UTC(2026, 10, 26, 21, 10)

/** Machines of the invented shop by what they show. */
export function inventedMachines(nowMs: number): MachineView[] {
  const fromMs = nowMs - 12 * HOUR
  const alarms = inventedAlarms(nowMs)
  const on = (startMs: number, toMs: number) => ({ fromMs: startMs, toMs, state: 'on' as const })
  const off = (startMs: number, toMs: number) => ({ fromMs: startMs, toMs, state: 'off' as const })
  const floorAir = () => air({ fromMs, toMs: nowMs, values: [52, 55, 53, 50, 47, 45] })
  const early = air({ fromMs, toMs: fromMs + 4 * HOUR, values: [50, 49, 48] })
  const late = air({ fromMs: fromMs + 6 * HOUR, toMs: nowMs - 3 * HOUR, values: [47, 46, 45] })
  return [
    machine('roll', 'Roll 60, left bench', {
      standing: 'actNow',
      sentence: 'Roll 60, left bench lost power while the shop is closed.',
      evidence: 'No power at the machine since 21:48.',
      action: { label: 'Find out why Roll 60, left bench is off', taskId: 'task|powerLost|machine:roll' },
      alarm: alarms.powerLost,
      humidity: floorAir(),
      power: { now: 'off', spans: [on(fromMs, nowMs - 22 * MIN), off(nowMs - 22 * MIN, nowMs)] },
      bottle: bottle('roll-waste', { fromMs, toMs: nowMs, values: [56, 58, 60, 62] }),
    }),
    machine('window', 'Sheet A3, window', {
      standing: 'well',
      sentence: 'All is well.',
      evidence: 'Air at 45 %RH, power on, bottle at 31 %.',
      humidity: floorAir(),
      power: {
        now: 'on',
        spans: [
          on(fromMs, fromMs + 3 * HOUR),
          off(fromMs + 3 * HOUR, fromMs + 3.5 * HOUR),
          on(fromMs + 3.5 * HOUR, nowMs),
        ],
      },
      bottle: bottle('window-waste', { fromMs, toMs: nowMs, values: [26, 28, 30, 31] }),
    }),
    machine('back', 'Sheet A3, back wall', {
      roomTitle: 'Back room',
      standing: 'beforeOpening',
      sentence: 'The air in Back room is too dry.',
      evidence: 'Humidity fell to 36 %RH; it has been below 40 %RH since 19:20.',
      action: { label: 'Bring the air in Back room back above 42 %RH', taskId: 'task|airDry|room:back-room' },
      alarm: alarms.airDry,
      otherAlarms: 1,
      humidity: air({ fromMs, toMs: nowMs, values: [49, 48, 46, 43, 39, 36] }),
      power: { now: 'on', spans: [on(fromMs, nowMs)] },
      bottle: bottle('back-waste', { fromMs, toMs: nowMs, values: [74, 78, 82, 84] }),
    }),
    machine('corner', 'Roll 30, corner', {
      roomTitle: 'Back room',
      standing: 'unknown',
      sentence: 'Corner node has gone silent.',
      evidence: 'Nothing heard since 19:05, 3 h 5 min ago.',
      alarm: alarms.sensorSilent,
      humidity: { limitPct: 40, nowPct: null, runs: [...early.runs, ...late.runs] },
      power: { now: 'unknown', spans: [on(fromMs, nowMs - 3 * HOUR)] },
      bottle: {
        ...bottle('corner-waste', { fromMs, toMs: nowMs - 3 * HOUR, values: [40, 41, 42] }),
        fillPct: null,
        volumeMl: null,
      },
    }),
  ]
}

export function inventedBoard(nowMs: number): BoardView {
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
      nextChangeMs: nowMs + 620 * MIN,
    },
    statement: 'Closed until Fri 08:30. 1 machine needs you now.',
    nextSteps: [],
    closedSpans: [{ fromMs: nowMs - 250 * MIN, toMs: nowMs }],
    machines: inventedMachines(nowMs),
    rooms: [
      { id: 'floor', title: 'Print floor', temperatureC: 21.4, humidityPct: 45, dewPointC: 9, vpdKpa: 1.4 },
      {
        id: 'back-room',
        title: 'Back room',
        temperatureC: 20.2,
        humidityPct: 36,
        dewPointC: 4.6,
        vpdKpa: 1.51,
      },
    ],
    shopAlarms: [],
    sensors: { reporting: 9, assigned: 11, unassigned: 1 },
    quarantined: 3,
    openTasks: 3,
    lastReadingMs: nowMs - 3000,
    plaintextBeyondLoopback: false,
  })
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
    machines: [],
    rooms: [],
    sensors: { reporting: 0, assigned: 0, unassigned: 0 },
    quarantined: 0,
    openTasks: 0,
    lastReadingMs: null,
  }
}

type MachineRest = Pick<MachineView, 'standing' | 'sentence' | 'evidence' | 'humidity' | 'power' | 'bottle'> &
  Partial<MachineView>

function machine(id: string, title: string, rest: MachineRest): MachineView {
  return { id, title, roomTitle: 'Print floor', action: null, alarm: null, otherAlarms: 0, ...rest }
}

interface Course {
  readonly fromMs: number
  readonly toMs: number
  readonly values: readonly number[]
}

/** A run through the values, one point every five minutes, with a little weather that is the same each time. */
function runThrough({ fromMs, toMs, values }: Course, sway: number): [number, number][] {
  const run: [number, number][] = []
  for (let atMs = fromMs; atMs < toMs; atMs += 5 * MIN) {
    const place = ((atMs - fromMs) / (toMs - fromMs)) * (values.length - 1)
    const a = values[Math.floor(place)] ?? 0
    const b = values[Math.ceil(place)] ?? a
    const value = a + (b - a) * (place % 1) + sway * Math.sin(run.length / 3) * Math.cos(run.length / 7)
    run.push([atMs, Math.round(value * 10) / 10])
  }
  return run
}

function air(course: Course): MachineView['humidity'] {
  return { limitPct: 40, nowPct: course.values.at(-1) ?? null, runs: [runThrough(course, 0.6)] }
}

function bottle(id: string, course: Course): NonNullable<MachineView['bottle']> {
  const fillPct = course.values.at(-1) ?? 0
  return {
    id,
    title: `Waste bottle ${id}`,
    fillPct,
    volumeMl: fillPct * 20,
    capacityMl: 2000,
    nearPct: 80,
    sharedBy: [],
    runs: [runThrough(course, 0)],
  }
}
