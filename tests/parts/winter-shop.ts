import { testSettings } from './shop-settings.ts'
import type { Settings } from '../../services/core/model/settings.ts'

const HOUR = 60
const DAY = 24 * HOUR
const MIN = 60_000

/** Monday 11 January 2027, 06:00 in Brussels; the shop is open on weekdays from 08:30 to 18:00. */
export const WINTER_START_MS = Date.parse('2027-01-11T05:00:00Z')

/** Minutes from the start of the week to a time of its day; Monday is 0. */
export function winterMinute(day: number, clock: string): number {
  const [hour = 0, minute = 0] = clock.split(':').map(Number)
  return (day * 24 + hour - 6) * HOUR + minute
}

/** The night from Wednesday to Thursday, when power falls. */
export const FALL = winterMinute(3, '02:10')

export const winterSensor = (id: string, quantity: string, kind: string, subjectId: string) => ({
  id,
  quantity,
  subject: { kind, id: subjectId },
  intervalMs: MIN,
})
const machine = (id: string, title: string) => ({
  id,
  title,
  room: 'floor',
  heads: [
    {
      id: `${id}-head`,
      title: 'Head',
      channelGroups: [
        { id: `${id}-colour`, title: 'Colour', ink: 'colour' },
        { id: `${id}-white`, title: 'White', ink: 'white' },
      ],
    },
  ],
  selfCleaning: { kind: 'everyHours', hours: 4 },
  powerBandsW: { cleaning: [90, 130], printing: [150, 300], cleaningS: [240, 360] },
})

/** Two machines, one room, one node. */
export function winterShop(change: Record<string, unknown> = {}): Settings {
  return testSettings({
    machines: [machine('film', 'Film printer'), machine('spare', 'Spare printer')],
    bottles: [],
    nodes: [{ id: 'bench' }],
    sensors: [
      winterSensor('bench/humidity', 'humidity', 'room', 'floor'),
      winterSensor('bench/temperature', 'temperature', 'room', 'floor'),
      winterSensor('bench/film', 'power', 'machine', 'film'),
      winterSensor('bench/spare', 'power', 'machine', 'spare'),
    ],
    ...change,
  })
}

export interface WinterValues {
  readonly humidity: number
  readonly temperature: number
  readonly film: number
  readonly spare: number
}

/** At rest, five minutes of cleaning every four hours; by day it prints now and then, so white ink is moved. */
function resting(minute: number): number {
  const ofDay = (minute + 6 * HOUR) % DAY
  if (ofDay % (4 * HOUR) < 5) return 110
  if ([10, 16].some((hour) => ofDay >= hour * HOUR && ofDay < hour * HOUR + 40)) return 200
  return 40 + ((minute * 7) % 11) / 25
}

export function calmWinter(minute: number): WinterValues {
  return {
    humidity: 47 + ((minute * 7) % 11) / 50,
    temperature: 21 + ((minute * 5) % 7) / 50,
    film: resting(minute),
    spare: resting(minute),
  }
}

/** Film prints late on Wednesday and loses power in the middle of it; the spare, at rest, for 20 minutes. */
export function powerFails(backAt: number): (minute: number) => WinterValues {
  return (minute) => ({
    ...calmWinter(minute),
    ...(minute >= FALL - 90 && minute < FALL ? { film: 200 } : {}),
    ...(minute >= FALL && minute < backAt ? { film: 0 } : {}),
    ...(minute >= FALL + 60 && minute < FALL + 80 ? { spare: 0 } : {}),
  })
}
