import { learnedKey, learnedOf, type Learned, type LearnedValues } from '../model/learned.ts'
import type { PowerBands } from '../model/learned/power-bands.ts'
import { FORECAST_GRID_MS } from '../model/learned/room-nights.ts'
import type { OpeningCalendar } from '../model/opening-hours.ts'
import type { RecordsReader, SeriesPoint } from '../model/ports/records.ts'
import type { Bottle, Machine, Room, SensorBinding, Settings } from '../model/settings.ts'
import { learnCleaningInterval } from './learn-cleaning-interval.ts'
import { learnCleaningWaste } from './learn-cleaning-waste.ts'
import { learnFillProfile, type WeighedSpan } from './learn-fill-profile.ts'
import { learnPowerBands, movedFar } from './learn-power-bands.ts'
import { learnRoomNights, type RoomCell } from './learn-room-nights.ts'
import { machinePast, type MachinePast } from './machine-past.ts'

const MINUTE_MS = 60_000
const HOUR_MS = 60 * MINUTE_MS
const DAY_MS = 24 * HOUR_MS
const ROOM_PAST_MS = 29 * DAY_MS
const POWER_PAST_MS = 21 * DAY_MS
const WEIGHED_PAST_MS = 57 * DAY_MS

export interface NightlyQuestion {
  readonly settings: Settings
  readonly calendar: OpeningCalendar
  readonly inForce: LearnedValues
  /** The past as the store gives it. */
  readonly series: RecordsReader['series']
  readonly nowMs: number
}

export interface Lesson {
  readonly learned: Learned
  /** It moved so far that a person should look at it first. */
  readonly waiting: boolean
}

/**
 * What the shop's own past teaches, worked out once a day, outside the kernel, which uses only what it is then told.
 *
 * NIGHTLY-1 of each room its last days, of each machine with a meter its power bands and the usual interval of its
 *           cleanings, of each bottle its weeks, and what a cleaning of each of its machines adds to it.
 * NIGHTLY-2 power bands that moved by more than a fifth wait for a person; until then those in force serve, and what
 *           is learned from them as well.
 * NIGHTLY-3 where nothing can be learned nothing is said, and what was learned before stays.
 * NIGHTLY-4 power bands that no longer know the cleanings or the prints that those in force know are not offered: a
 *           machine that stood idle, or a heater that hides its levels, makes nobody forget what was learned.
 */
export function learnNightly(question: NightlyQuestion): readonly Lesson[] {
  const { settings, inForce } = question
  const lessons: Lesson[] = []
  const learned = new Map(inForce)
  const take = (value: Learned | null, waiting = false): void => {
    if (!value) return
    lessons.push({ learned: value, waiting })
    if (!waiting) learned.set(learnedKey(value), value)
  }
  for (const room of settings.rooms) take(roomLesson(room, question))
  const pasts = new Map<string, MachinePast>()
  for (const machine of settings.machines) {
    const samples = meterSamples(machine, question)
    if (samples.length < 2) continue
    const bands = bandsLesson(machine, samples, question)
    if (bands && !losesABand(bands, inForce)) take(bands, isFarFrom(bands, inForce))
    const past = machinePast(machine, samples, { learned, sampleMs: MINUTE_MS })
    pasts.set(machine.id, past)
    take(learnCleaningInterval({ machineId: machine.id, ...past }))
  }
  for (const bottle of settings.bottles)
    for (const lesson of bottleLessons(bottle, pasts, question)) take(lesson)
  return lessons
}

function isFarFrom(bands: PowerBands, inForce: LearnedValues): boolean {
  const before = learnedOf(inForce, 'powerBands', bands.subjectId)
  return before !== undefined && movedFar(before, bands)
}

function losesABand(bands: PowerBands, inForce: LearnedValues): boolean {
  const before = learnedOf(inForce, 'powerBands', bands.subjectId)
  return (['cleaningW', 'printingW'] as const).some((band) => before?.[band] && !bands[band])
}

function roomLesson(room: Room, { settings, series, nowMs }: NightlyQuestion): Learned | null {
  const cells = new Map<number, { temperatureC: number[]; humidityPct: number[] }>()
  for (const { id, quantity } of boundTo('room', room.id, settings.sensors)) {
    if (quantity !== 'humidity' && quantity !== 'temperature') continue
    const line = quantity === 'humidity' ? 'humidityPct' : 'temperatureC'
    const range = { fromMs: nowMs - ROOM_PAST_MS, toMs: nowMs, bucketMs: FORECAST_GRID_MS }
    for (const { atMs, mean } of series({ sensorId: id, quantity, ...range })) {
      const cell = cells.get(atMs) ?? { temperatureC: [], humidityPct: [] }
      cell[line].push(mean)
      cells.set(atMs, cell)
    }
  }
  const past = [...cells].map(([atMs, { temperatureC, humidityPct }]): RoomCell => ({
    atMs,
    temperatureC: meanOf(temperatureC),
    humidityPct: meanOf(humidityPct),
  }))
  return learnRoomNights({ roomId: room.id, cells: past, toMs: nowMs, timeZone: settings.site.timeZone })
}

function meanOf(values: readonly number[]): number | null {
  return values.length === 0 ? null : values.reduce((a, b) => a + b, 0) / values.length
}

function meterSamples(machine: Machine, { settings, series, nowMs }: NightlyQuestion) {
  const meters = boundTo('machine', machine.id, settings.sensors).filter((s) => s.quantity === 'power')
  const [meter] = meters.sort((a, b) => (a.id < b.id ? -1 : 1))
  if (!meter) return []
  const range = { fromMs: nowMs - POWER_PAST_MS, toMs: nowMs, bucketMs: MINUTE_MS }
  return series({ sensorId: meter.id, quantity: 'power', ...range }).map(({ atMs, mean, min, max }) => ({
    atMs,
    meanW: mean,
    minW: min,
    maxW: max,
  }))
}

function bandsLesson(
  { id, offBelowW }: Machine,
  samples: ReturnType<typeof meterSamples>,
  { calendar }: NightlyQuestion,
): PowerBands | null {
  const outcome = learnPowerBands({ machineId: id, samples, offBelowW, isOpenAt: calendar.isOpenAt })
  return outcome.separable ? outcome.value : null
}

function* bottleLessons(
  bottle: Bottle,
  pasts: ReadonlyMap<string, MachinePast>,
  { settings, series, nowMs }: NightlyQuestion,
): Iterable<Learned | null> {
  const scale = boundTo('bottle', bottle.id, settings.sensors).find((s) => s.quantity === 'mass')
  if (!scale) return
  const { timeZone } = settings.site
  const weighedSince = (pastMs: number, bucketMs: number): WeighedSpan[] => {
    const range = { fromMs: nowMs - pastMs, toMs: nowMs, bucketMs }
    return series({ sensorId: scale.id, quantity: 'mass', ...range }).map((point) => toSpan(point, bucketMs))
  }
  yield learnFillProfile({ bottle, timeZone, weighed: weighedSince(WEIGHED_PAST_MS, HOUR_MS), toMs: nowMs })
  const weighed = weighedSince(POWER_PAST_MS, 5 * MINUTE_MS)
  const endsOf = (id: string): number[] => (pasts.get(id)?.cleanings ?? []).map((c) => c.toMs)
  for (const machineId of bottle.machines) {
    yield learnCleaningWaste({
      machineId,
      bottle,
      cleaningsMs: endsOf(machineId),
      otherCleaningsMs: bottle.machines.filter((id) => id !== machineId).flatMap(endsOf),
      weighed,
      toMs: nowMs,
    })
  }
}

function toSpan({ atMs, mean, last }: SeriesPoint, bucketMs: number): WeighedSpan {
  return { fromMs: atMs, toMs: atMs + bucketMs, meanKg: mean, lastKg: last }
}

function boundTo(kind: string, id: string, sensors: readonly SensorBinding[]): SensorBinding[] {
  return sensors.filter((s) => s.subject.kind === kind && s.subject.id === id)
}
