import { settingsSchema, type Settings } from '../../services/core/model/settings.ts'
import type { BottlePlan, MachinePlan, RoomPlan, SensorPlan, ShopPlan } from './plan-kinds.ts'

const SECOND = 1000
const MINUTE = 60 * SECOND

const ROOMS: readonly RoomPlan[] = [
  {
    id: 'print-floor',
    volumeM3: 150,
    closedAirChangesPerH: 0.35,
    openAirChangesPerH: 0.8,
    people: 3,
    heatLossWPerK: 150,
    heatCapacityJPerK: 3.2e6,
    heaterW: 6000,
    dayC: 21.5,
    nightC: 19.5,
    humidifierPct: 50,
    humidifierKgPerH: 0.95,
    tankKg: null,
  },
  {
    id: 'back-room',
    volumeM3: 60,
    closedAirChangesPerH: 0.3,
    openAirChangesPerH: 0.6,
    people: 1,
    heatLossWPerK: 70,
    heatCapacityJPerK: 1.3e6,
    heaterW: 3000,
    dayC: 21,
    nightC: 19,
    humidifierPct: 48,
    humidifierKgPerH: 0.4,
    tankKg: 9,
  },
]

const MACHINES: readonly MachinePlan[] = [
  {
    id: 'roll-left',
    roomId: 'print-floor',
    bottleId: 'roll-waste',
    cleaningEveryH: 4,
    cleaningMl: 12,
    printingMlPerH: 15,
    pauseMin: 18,
    standbyW: 48,
    printingW: 185,
    cleaningW: 112,
    heaterW: 340,
    nozzles: 1600,
  },
  {
    id: 'sheet-window',
    roomId: 'print-floor',
    bottleId: 'window-waste',
    cleaningEveryH: 6,
    cleaningMl: 7,
    printingMlPerH: 6,
    pauseMin: 30,
    standbyW: 21,
    printingW: 74,
    cleaningW: 47,
    heaterW: 0,
    nozzles: 1080,
  },
  {
    id: 'sheet-back',
    roomId: 'back-room',
    bottleId: 'back-waste',
    cleaningEveryH: 6,
    cleaningMl: 7,
    printingMlPerH: 6,
    pauseMin: 38,
    standbyW: 19,
    printingW: 69,
    cleaningW: 44,
    heaterW: 0,
    nozzles: 1080,
  },
]

const BOTTLES: readonly BottlePlan[] = [
  {
    id: 'roll-waste',
    roomId: 'print-floor',
    capacityMl: 3000,
    tareKg: 0.214,
    densityKgPerL: 1.05,
    cellKg: 5,
  },
  {
    id: 'window-waste',
    roomId: 'print-floor',
    capacityMl: 1500,
    tareKg: 0.128,
    densityKgPerL: 1.05,
    cellKg: 3,
  },
  { id: 'back-waste', roomId: 'back-room', capacityMl: 1500, tareKg: 0.131, densityKgPerL: 1.05, cellKg: 3 },
]

/** One node in each room and one at each machine. */
export const demoNodes = [
  { id: 'floor-air', title: 'Air, print floor' },
  { id: 'back-air', title: 'Air, back room' },
  { id: 'roll-bench', title: 'Meter and scale, left bench' },
  { id: 'window-bench', title: 'Meter and scale, window' },
  { id: 'back-wall', title: 'Meter, contact and scale, back wall' },
] as const

const sensor = (
  id: string,
  quantity: SensorPlan['quantity'],
  subjectId: string,
  everyMs: number,
): SensorPlan => {
  const [nodeId = ''] = id.split('/')
  return { id, nodeId, quantity, subjectId, everyMs }
}

const SENSORS: readonly SensorPlan[] = [
  sensor('floor-air/humidity', 'humidity', 'print-floor', 10 * SECOND),
  sensor('floor-air/temperature', 'temperature', 'print-floor', 10 * SECOND),
  sensor('back-air/humidity', 'humidity', 'back-room', 10 * SECOND),
  sensor('back-air/temperature', 'temperature', 'back-room', 10 * SECOND),
  sensor('roll-bench/power', 'power', 'roll-left', 10 * SECOND),
  sensor('roll-bench/bottle', 'mass', 'roll-waste', 10 * SECOND),
  sensor('window-bench/power', 'power', 'sheet-window', 10 * SECOND),
  sensor('window-bench/bottle', 'mass', 'window-waste', 10 * SECOND),
  sensor('back-wall/power', 'power', 'sheet-back', 10 * SECOND),
  sensor('back-wall/contact', 'powered', 'sheet-back', 10 * SECOND),
  sensor('back-wall/bottle', 'mass', 'back-waste', 10 * SECOND),
]

const SUBJECT_KIND = {
  humidity: 'room',
  temperature: 'room',
  mass: 'bottle',
  power: 'machine',
  powered: 'machine',
} as const

const TITLES = {
  'roll-left': 'Roll 60, left bench',
  'sheet-window': 'Sheet A3, window',
  'sheet-back': 'Sheet A3, back wall',
} as const

/** What the owner read off the meters: a little around each level, and for printing all that a heater may add. */
function toldBands({ cleaningW, printingW, heaterW }: MachinePlan) {
  return {
    cleaning: [Math.round(cleaningW * 0.82), Math.round(cleaningW * 1.2)],
    printing: [Math.round(printingW * 0.8), Math.round((printingW + heaterW) * 1.15)],
    cleaningS: [150, 240],
  }
}

function machineSettings(id: keyof typeof TITLES, room: string) {
  const plan = MACHINES.find((m) => m.id === id)
  const cleaning = plan?.cleaningEveryH ?? 0
  const groups = [
    { id: `${id}-colour`, title: 'Colour', ink: 'colour' },
    { id: `${id}-white`, title: 'White', ink: 'white' },
  ]
  return {
    id,
    title: TITLES[id],
    room,
    heads: [{ id: `${id}-head`, title: 'Print head', channelGroups: groups }],
    selfCleaning: { kind: 'everyHours', hours: cleaning },
    powerBandsW: plan && toldBands(plan),
  }
}

function bottleSettings(id: string, title: string, machine: string) {
  const plan = BOTTLES.find((b) => b.id === id)
  return {
    id,
    title,
    machines: [machine],
    capacityMl: plan?.capacityMl,
    tareKg: plan?.tareKg,
    densityKgPerL: plan?.densityKgPerL,
  }
}

/** Settings of the invented shop "Quayside Film & Print", with every simulated sensor bound. */
export function demoSettings({ timeZone = 'Europe/Brussels' }: { timeZone?: string } = {}): Settings {
  const weekdays = [1, 2, 3, 4, 5].map((weekday) => ({ weekday, opens: '08:30', closes: '18:00' }))
  return settingsSchema.parse({
    site: { id: 'quayside', title: 'Quayside Film & Print', timeZone },
    hours: { weekly: [...weekdays, { weekday: 6, opens: '09:00', closes: '13:00' }] },
    rooms: [
      { id: 'print-floor', title: 'Print floor', volumeM3: 150, airChangesPerH: 0.35 },
      { id: 'back-room', title: 'Back room', volumeM3: 60, airChangesPerH: 0.3 },
    ],
    machines: [
      machineSettings('roll-left', 'print-floor'),
      machineSettings('sheet-window', 'print-floor'),
      machineSettings('sheet-back', 'back-room'),
    ],
    bottles: [
      bottleSettings('roll-waste', 'Waste bottle, left bench', 'roll-left'),
      bottleSettings('window-waste', 'Waste bottle, window', 'sheet-window'),
      bottleSettings('back-waste', 'Waste bottle, back wall', 'sheet-back'),
    ],
    nodes: demoNodes,
    sensors: SENSORS.map(({ id, quantity, subjectId }) => ({
      id,
      quantity,
      subject: { kind: SUBJECT_KIND[quantity], id: subjectId },
      // Longer than the nodes need, so that a past told in strides of four minutes has no silence in it.
      intervalMs: 2 * MINUTE,
    })),
  })
}

/** The simulated shop that `demoSettings` describes. */
export function demoPlan(options: { timeZone?: string } = {}): ShopPlan {
  return {
    settings: demoSettings(options),
    rooms: ROOMS,
    machines: MACHINES,
    bottles: BOTTLES,
    sensors: SENSORS,
  }
}
