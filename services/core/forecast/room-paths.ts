import { FORECAST_GRID_MS, type RoomNights } from '../model/learned/room-nights.ts'
import type { Air } from '../physics/air.ts'
import { dayOf, isWhole, pastDaysOf, slotOf, type PastDays } from './past-days.ts'
import { replayLeg, type Leg } from './replay.ts'
import { createWallClock, type WallClock } from './wall-clock.ts'

/** With fewer whole days than this the forecast is the air as it is. */
export const MIN_FORECAST_DAYS = 7
const DAY_MS = 86_400_000
/** Of days and of paths. */
const MAX_DAYS = 28

export interface RoomForecastQuestion {
  /** What was learned of the room, or undefined as long as nothing was. */
  readonly nights: Pick<RoomNights, 'days'> | undefined
  /** The air at `fromMs`. */
  readonly air: Air
  readonly fromMs: number
  /** The next opening; after `fromMs`. */
  readonly toMs: number
  readonly timeZone: string
}

/** One way the air may go, on the forecast's grid. */
export interface RoomPath {
  readonly temperatureC: number[]
  readonly humidityPct: number[]
}

export interface RoomForecast {
  readonly basis: 'paths' | 'persistence'
  /** How many past days it replays; with `persistence` how many whole ones there were, too few. */
  readonly days: number
  /** The grid: `fromMs`, every 15 min after it, and `toMs`. */
  readonly atMs: readonly number[]
  /** One a past day; with `persistence` a single one, the air as it is. */
  readonly paths: readonly RoomPath[]
}

/**
 * The room's air until `toMs` as whole paths, each a past day replayed from the same time of the local day (no chance
 * in it), so that each can go through the drying dose.
 *
 * ROOM-1 every path begins at the air now.
 * ROOM-2 fewer than 7 past days that are whole over the stretch (or over 24 h of it): `persistence`, the air as it is.
 * ROOM-3 a stretch longer than a day is gone through in legs of 24 h of the wall clock, each path on to the day after
 *        the one it replayed; after the last past day, or a hole, to the next that is whole.
 * ROOM-4 a room whose temperature nobody measured on most days keeps the temperature it has.
 * ROOM-5 days are matched by the wall clock, so a change of clocks moves no habit of the room.
 *
 * It works on relative humidity itself, not on the water in the air: walls, paper and film buffer relative humidity,
 * and on the open data (tests/scorecard) it was forecast better so.
 *
 * @throws {RangeError} if `toMs` is not after `fromMs`, the air is not a number, or the zone is unknown.
 */
export function roomForecast({ nights, air, fromMs, toMs, timeZone }: RoomForecastQuestion): RoomForecast {
  checkQuestion(air, fromMs, toMs)
  const atMs = gridOf(fromMs, toMs)
  const past = pastDaysOf(nights ?? { days: [] })
  const legs = legsOf(atMs, createWallClock({ timeZone, fromMs, toMs }))
  const knows = knownOver(past, legs)
  if (knows.days.length < MIN_FORECAST_DAYS) {
    return { basis: 'persistence', days: knows.days.length, atMs, paths: [heldPath(air, atMs.length)] }
  }
  const days = knows.days.slice(-MAX_DAYS)
  const paths = days.map(() => heldPath(air, atMs.length))
  const humidityPct = paths.map((p) => p.humidityPct)
  const temperatureC = paths.map((p) => p.temperatureC)
  let replayed: readonly number[] = days
  legs.forEach((leg, at) => {
    if (at > 0) replayed = replayed.map((day) => dayAfter(day, days))
    replayLeg({ line: past.humidityPct, leg, days, replayed, paths: humidityPct })
    if (knows.temperature) replayLeg({ line: past.temperatureC, leg, days, replayed, paths: temperatureC })
    else temperatureC.forEach((path) => path.fill(air.temperatureC))
  })
  humidityPct.forEach(keepWithinScale)
  return { basis: 'paths', days: days.length, atMs, paths }
}

function checkQuestion(air: Air, fromMs: number, toMs: number): void {
  if (!(toMs > fromMs)) throw new RangeError(`toMs must be after fromMs ${fromMs}, got ${toMs}`)
  if (!(air.humidityPct >= 0 && air.humidityPct <= 100)) {
    throw new RangeError(`humidityPct must be 0 to 100 %RH, got ${air.humidityPct}`)
  }
  if (!Number.isFinite(air.temperatureC)) {
    throw new RangeError(`temperatureC must be a number, got ${air.temperatureC}`)
  }
}

function gridOf(fromMs: number, toMs: number): number[] {
  const atMs: number[] = []
  for (let at = fromMs; at < toMs; at += FORECAST_GRID_MS) atMs.push(at)
  atMs.push(toMs)
  return atMs
}

/** Legs of 24 h by the wall clock. */
function legsOf(atMs: readonly number[], wallClock: WallClock): Leg[] {
  const walls = atMs.map(wallClock)
  const legs: Leg[] = []
  for (let first = 0; first < walls.length - 1;) {
    const wallMs = walls[first] ?? NaN
    let last = first + 1
    while (last < walls.length - 1 && (walls[last] ?? NaN) - wallMs < DAY_MS) last++
    const day = dayOf(wallMs)
    const slots = Float64Array.from(walls.slice(first, last + 1), (wall) => slotOf(wall, day))
    legs.push({ first, last, slots })
    first = last
  }
  return legs
}

/** The past days that are whole over every leg, and whether their temperature is known too. */
function knownOver(past: PastDays, legs: readonly Leg[]): { days: number[]; temperature: boolean } {
  const ends = legs.map(({ slots }) => [Math.min(...slots), Math.max(...slots)] as const)
  const all = Array.from({ length: past.dayCount }, (_, day) => day)
  const wholeIn = (line: Float64Array) => (day: number) =>
    ends.every(([from, to]) => isWhole(line, day, from, to))
  const humid = all.filter(wholeIn(past.humidityPct))
  const both = humid.filter(wholeIn(past.temperatureC))
  const temperature = both.length >= MIN_FORECAST_DAYS
  return { days: temperature ? both : humid, temperature }
}

function dayAfter(day: number, days: readonly number[]): number {
  return days.find((d) => d > day) ?? days[0] ?? day
}

function heldPath(air: Air, points: number): RoomPath {
  return {
    temperatureC: new Array<number>(points).fill(air.temperatureC),
    humidityPct: new Array<number>(points).fill(air.humidityPct),
  }
}

function keepWithinScale(humidityPct: number[]): void {
  for (let at = 0; at < humidityPct.length; at++) {
    humidityPct[at] = Math.max(0, Math.min(100, humidityPct[at] ?? NaN))
  }
}
