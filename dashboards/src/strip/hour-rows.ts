import type { BoardView, MachineView } from '../../../services/core/model/views.ts'
import { clockTime, dayClock } from '../words/shop-time.ts'
import { bandAt, type Band } from './ahead.ts'
import type { Run } from './gaps.ts'
import { driestInks } from './ink-lane.ts'
import { joinedPower, type Power } from './power-lane.ts'

type Times = Pick<BoardView, 'nowMs' | 'fromMs' | 'site'>

const HOUR_MS = 3_600_000
/** A weekend hour by hour is read by nobody. */
const ROWS_AHEAD = 12

export interface HourRow {
  readonly time: string
  readonly humidityPct: number | null
  /** Of each ink that has a line, in the order of `driestInks`. */
  readonly inksPct: readonly (number | null)[]
  readonly power: Power['now']
  readonly fillPct: number | null
}

/** The numbers of a strip, one row an hour back from now: the last value within that hour, or null. */
export function hourRows(machine: MachineView, { nowMs, fromMs, site }: Times): readonly HourRow[] {
  const { humidity, bottle, power } = machine
  const inks = driestInks(machine.inks)
  const spans = joinedPower(power, nowMs)
  const rows: HourRow[] = []
  for (let toMs = nowMs; toMs > fromMs; toMs -= HOUR_MS) {
    const isNow = toMs === nowMs
    const span = spans.find((s) => s.fromMs <= toMs && s.toMs >= toMs)
    rows.push({
      time: clockTime(toMs, site.timeZone),
      humidityPct: isNow ? humidity.nowPct : lastIn(humidity.runs, toMs),
      inksPct: inks.map((i) => (isNow ? i.usedPct : lastIn(i.runs, toMs))),
      power: isNow ? power.now : (span?.state ?? 'unknown'),
      fillPct: isNow ? (bottle?.fillPct ?? null) : lastIn(bottle?.runs ?? [], toMs),
    })
  }
  return rows
}

type Range = readonly [low: number, middle: number, high: number]

export interface HourAhead {
  readonly time: string
  readonly humidityPct: Range | null
  readonly inksPct: readonly (Range | null)[]
  readonly fillPct: Range | null
}

/** The forecast at up to twelve evenly spaced times, the last of them the end of the night. */
export function hoursAhead(machine: MachineView, { nowMs, site }: Times): readonly HourAhead[] {
  const { night, bottle } = machine
  if (!night || night.toMs <= nowMs) return []
  const stepMs = HOUR_MS * Math.max(1, Math.ceil((night.toMs - nowMs) / HOUR_MS / ROWS_AHEAD))
  const times: number[] = []
  for (let atMs = nowMs + stepMs; atMs < night.toMs; atMs += stepMs) times.push(atMs)
  return [...times, night.toMs].map((atMs) => ({
    time: dayClock(atMs, { timeZone: site.timeZone, nowMs }),
    humidityPct: rangeAt(night.humidityPct, atMs),
    inksPct: driestInks(machine.inks).map((i) => rangeAt(i.ahead, atMs)),
    fillPct: rangeAt(bottle?.ahead ?? [], atMs),
  }))
}

function rangeAt(band: Band, atMs: number): Range | null {
  const point = bandAt(band, atMs)
  return point && [point[1], point[2], point[3]]
}

function lastIn(runs: readonly Run[], toMs: number): number | null {
  for (const run of [...runs].reverse()) {
    const found = run.findLast(([atMs]) => atMs <= toMs && atMs > toMs - HOUR_MS)
    if (found) return found[1]
  }
  return null
}
