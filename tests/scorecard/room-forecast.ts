/**
 * How well the room forecast does on open indoor data, from the evening to 08:00, against persistence (the value at the
 * origin, held). Rolling origin: each night is forecast from what was measured before its day began.
 * `npx tsx tests/scorecard/room-forecast.ts` prints it.
 */
import { pathToFileURL } from 'node:url'
import { bandOf } from '../../services/core/forecast/quantile.ts'
import { roomForecast, type RoomForecast } from '../../services/core/forecast/room-paths.ts'
import type { Air } from '../../services/core/physics/air.ts'
import { learnRoomNights, type RoomCell } from '../../services/core/learn/learn-room-nights.ts'
import { scoreOf, type JudgedRoom, type Night, type RoomScore } from './score-nights.ts'
import { openRoom, SAME_AIR, TUNED_ON, UNTOUCHED, WHOLE_WINTER, type OpenRoom } from './open-rooms.ts'

const DAY_MS = 86_400_000
const HOUR_MS = 3_600_000
const ENDS_AT_HOUR = 8
const CLOSE_READINGS_MS = 20 * 60_000

export interface RoomForecastScores {
  readonly rooms: readonly RoomScore[]
  readonly pooled: RoomScore
  readonly untouched: RoomScore
  readonly sameAir: readonly RoomScore[]
  /** To 08:00 on the third day, as over a weekend, from every evening. */
  readonly weekends: readonly RoomScore[]
}

export function roomForecastScores(): RoomForecastScores {
  const judged = [TUNED_ON, ...UNTOUCHED].map((source) => judgeRoom(openRoom(source)))
  const rooms = judged.map(scoreOf)
  const all = { title: 'all three, pooled', ...pool(judged) }
  const untouched = { title: 'the untouched two, pooled', ...pool(judged.slice(1)) }
  return {
    rooms,
    pooled: scoreOf(all),
    untouched: scoreOf(untouched),
    sameAir: SAME_AIR.map((source) => scoreOf(judgeRoom(openRoom(source)))),
    weekends: WHOLE_WINTER.map((source) => scoreOf(judgeRoom(openRoom(source), 3))),
  }
}

/** A week of one room and the same week of another stay two blocks. */
function pool(rooms: readonly JudgedRoom[]): Omit<JudgedRoom, 'title'> {
  return {
    nights: rooms.flatMap(({ nights }, at) => nights.map((n) => ({ ...n, week: n.week * 10 + at }))),
    withoutPaths: rooms.reduce((sum, r) => sum + r.withoutPaths, 0),
  }
}

function judgeRoom({ title, originHour, cells }: OpenRoom, nightsAhead = 1): JudgedRoom {
  const nights: Night[] = []
  let withoutPaths = 0
  const firstDayMs = Math.floor((cells[0]?.atMs ?? NaN) / DAY_MS) * DAY_MS
  for (let dayMs = firstDayMs; dayMs < (cells.at(-1)?.atMs ?? NaN); dayMs += DAY_MS) {
    const toMs = dayMs + nightsAhead * DAY_MS + ENDS_AT_HOUR * HOUR_MS
    const night = judgeNight(cells, { dayMs, fromMs: dayMs + originHour * HOUR_MS, toMs })
    if (night === 'withoutPaths') withoutPaths++
    else if (night) nights.push(night)
  }
  return { title, nights, withoutPaths }
}

interface Stretch {
  /** Midnight before the origin: nothing later is learned from. */
  readonly dayMs: number
  readonly fromMs: number
  readonly toMs: number
}

function judgeNight(cells: readonly RoomCell[], stretch: Stretch): Night | 'withoutPaths' | null {
  const { dayMs, fromMs, toMs } = stretch
  const air = measuredAt(cells, fromMs)
  if (!air) return null
  const nights = learnRoomNights({ roomId: 'room', cells, toMs: dayMs, timeZone: 'UTC' }) ?? undefined
  const forecast = roomForecast({ nights, air, fromMs, toMs, timeZone: 'UTC' })
  if (forecast.basis === 'persistence') return 'withoutPaths'
  const sums = compare(cells, forecast, air)
  return sums.times === 0 ? null : { week: Math.floor(dayMs / (7 * DAY_MS)), ...sums }
}

function compare(cells: readonly RoomCell[], { atMs, paths }: RoomForecast, air: Air) {
  const humidity = bandOf(
    atMs,
    paths.map((p) => p.humidityPct),
  )
  const temperature = bandOf(
    atMs,
    paths.map((p) => p.temperatureC),
  )
  const sums = {
    times: 0,
    humidityError: 0,
    humidityHeld: 0,
    temperatureError: 0,
    temperatureHeld: 0,
    inside: 0,
  }
  humidity.forEach(([at, p10, p50, p90], k) => {
    const real = k === 0 ? null : measuredAt(cells, at)
    if (!real) return
    sums.times++
    sums.humidityError += Math.abs(real.humidityPct - p50)
    sums.humidityHeld += Math.abs(real.humidityPct - air.humidityPct)
    sums.temperatureError += Math.abs(real.temperatureC - (temperature[k]?.[2] ?? NaN))
    sums.temperatureHeld += Math.abs(real.temperatureC - air.temperatureC)
    if (real.humidityPct >= p10 && real.humidityPct <= p90) sums.inside++
  })
  return sums
}

/** A reading of that time, or the straight line between two that stand close enough; null where there is neither. */
function measuredAt(cells: readonly RoomCell[], atMs: number): Air | null {
  let low = 0
  let high = cells.length
  while (low < high) {
    const middle = (low + high) >> 1
    if ((cells[middle]?.atMs ?? NaN) < atMs) low = middle + 1
    else high = middle
  }
  const after = cells[low]
  const before = after?.atMs === atMs ? after : cells[low - 1]
  if (!before || !after || after.atMs - before.atMs > CLOSE_READINGS_MS) return null
  const part = after === before ? 0 : (atMs - before.atMs) / (after.atMs - before.atMs)
  const between = (a: number | null, b: number | null) => (a ?? NaN) + part * ((b ?? NaN) - (a ?? NaN))
  return {
    temperatureC: between(before.temperatureC, after.temperatureC),
    humidityPct: between(before.humidityPct, after.humidityPct),
  }
}

export function asMarkdown({ rooms, pooled, untouched, sameAir, weekends }: RoomForecastScores): string {
  const tables = [
    ['From the evening (18:00, or 19:00 where it was measured) to 08:00', [...rooms, pooled, untouched]],
    ['The same house closer in time, its first two weeks', sameAir],
    ['To 08:00 on the third day', weekends],
  ] as const
  return tables.map(([title, scores]) => `${title}:\n\n${tableOf(scores)}\n`).join('\n')
}

function tableOf(scores: readonly RoomScore[]): string {
  const pct = (share: number) => `${(share * 100).toFixed(1)} %`
  const lines = scores.map((s) => [
    s.title,
    s.nights,
    s.withoutPaths,
    s.heldErrorPct.toFixed(2),
    s.errorPct.toFixed(2),
    `${pct(s.gain)} (${pct(s.gainLow)} to ${pct(s.gainHigh)})`,
    pct(s.cover),
    pct(s.temperatureGain),
  ])
  const head = [
    'room',
    'nights',
    'too little past',
    'persistence, MAE %RH',
    'forecast, MAE %RH',
    'better by (95 %)',
    'inside the 80 % band',
    'temperature better by',
  ]
  return [head, head.map(() => '---'), ...lines].map((cells) => `| ${cells.join(' | ')} |`).join('\n')
}

if (import.meta.url === pathToFileURL(process.argv[1] ?? '').href) {
  process.stdout.write(`${asMarkdown(roomForecastScores())}\n`)
}
