import { settingsSchema, type Settings } from '../../services/core/model/settings.ts'
import type { Draw } from './draw.ts'
import type { BottlePlan, MachinePlan, RoomPlan, SensorPlan } from './plan-kinds.ts'
import type { ShopRanges } from './plan-ranges.ts'

/** What the shop knows of a machine, beside what it is. */
export interface WatchedMachine {
  readonly machine: MachinePlan
  readonly meter: boolean
  readonly contact: boolean
  readonly everyMs: number
  readonly bandsTold: boolean
  readonly cleaningTold: boolean
}

export const SITE = 'shop'
const SUBJECT_KIND = {
  humidity: 'room',
  temperature: 'room',
  mass: 'bottle',
  power: 'machine',
  powered: 'machine',
} as const

interface Parts {
  readonly rooms: readonly RoomPlan[]
  readonly watched: readonly WatchedMachine[]
  readonly bottles: readonly BottlePlan[]
  readonly sensors: readonly SensorPlan[]
}

/** The settings of a drawn shop, as a careful owner would give them. */
export function settingsOf(
  { rooms, watched, bottles, sensors }: Parts,
  draw: Draw,
  ranges: ShopRanges,
): Settings {
  return settingsSchema.parse({
    site: { id: SITE, title: 'A shop', timeZone: draw.pick(ranges.timeZones) },
    hours: { weekly: drawHours(draw, ranges) },
    rooms: rooms.map(({ id }) => ({ id, title: id })),
    machines: watched.map(machineSettings),
    bottles: bottles.map((b) => ({
      id: b.id,
      title: b.id,
      machines: watched.filter((w) => w.machine.bottleId === b.id).map((w) => w.machine.id),
      capacityMl: b.capacityMl,
      tareKg: b.tareKg + draw.within(ranges.tareErrorG) / 1000,
      densityKgPerL: b.densityKgPerL,
    })),
    nodes: [...new Set(sensors.map((s) => s.nodeId))].map((id) => ({ id })),
    sensors: sensors.map(({ id, quantity, subjectId, everyMs }) => ({
      id,
      quantity,
      subject: { kind: subjectId === SITE ? 'site' : SUBJECT_KIND[quantity], id: subjectId },
      intervalMs: everyMs,
    })),
  })
}

function drawHours(draw: Draw, ranges: ShopRanges) {
  const opensH = Math.round(draw.within(ranges.opensAtH) * 2) / 2
  const closesH = opensH + Math.round(draw.within(ranges.openForH) * 2) / 2
  const clock = (hours: number): string =>
    `${String(Math.floor(hours)).padStart(2, '0')}:${hours % 1 === 0 ? '00' : '30'}`
  const day = (weekday: number, to: number) => ({ weekday, opens: clock(opensH), closes: clock(to) })
  const week = [1, 2, 3, 4, 5].map((weekday) => day(weekday, closesH))
  return draw.happens(ranges.saturdayOpen) ? [...week, day(6, opensH + 4)] : week
}

function machineSettings({ machine, bandsTold, cleaningTold }: WatchedMachine) {
  const { id, roomId, cleaningEveryH, standbyW, cleaningW, printingW, heaterW } = machine
  // What a careful owner reads off the meter: half-way between the levels.
  const bands = {
    cleaning: [(standbyW * 1.35 + cleaningW) / 2, (cleaningW * 1.12 + printingW) / 2],
    printing: [(cleaningW * 1.12 + printingW) / 2, (printingW + heaterW) * 1.3],
  }
  return {
    id,
    title: id,
    room: roomId,
    heads: [
      {
        id: `${id}-head`,
        title: 'Print head',
        channelGroups: [
          { id: `${id}-colour`, title: 'Colour', ink: 'colour' },
          { id: `${id}-white`, title: 'White', ink: 'white' },
        ],
      },
    ],
    selfCleaning: cleaningTold ? { kind: 'everyHours', hours: cleaningEveryH } : { kind: 'unknown' },
    ...(bandsTold ? { powerBandsW: bands } : {}),
  }
}
