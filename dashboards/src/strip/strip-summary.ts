import type { BoardView, MachineView } from '../../../services/core/model/views.ts'
import { clockTime } from '../words/shop-time.ts'
import type { Run } from './gaps.ts'
import { joinedPower } from './power-lane.ts'

type Times = Pick<BoardView, 'nowMs' | 'fromMs' | 'site'>

const HOUR_MS = 3_600_000

/** A strip in one sentence, for those who cannot see it: from where to where, and what broke in between. */
export function stripSummary(machine: MachineView, board: Times): string {
  const { humidity, bottle } = machine
  const parts = [
    `Humidity ${fromTo(humidity.runs, humidity.nowPct, '%RH')}, limit ${humidity.limitPct} %RH`,
    powerWords(machine, board),
    ...(bottle ? [`bottle ${fromTo(bottle.runs, bottle.fillPct, '%')}, mark at ${bottle.nearPct} %`] : []),
  ]
  const hours = Math.round((board.nowMs - board.fromMs) / HOUR_MS)
  return `The past ${hours} hours. ${parts.join('; ')}.`
}

export interface HourRow {
  readonly time: string
  readonly humidityPct: number | null
  readonly power: 'on' | 'off' | 'unknown'
  readonly fillPct: number | null
}

/** The numbers of a strip, one row an hour back from now: the last value within that hour, or null. */
export function hourRows(machine: MachineView, { nowMs, fromMs, site }: Times): readonly HourRow[] {
  const { humidity, bottle, power } = machine
  const spans = joinedPower(power, nowMs)
  const rows: HourRow[] = []
  for (let toMs = nowMs; toMs > fromMs; toMs -= HOUR_MS) {
    const isNow = toMs === nowMs
    const span = spans.find((s) => s.fromMs <= toMs && s.toMs >= toMs)
    rows.push({
      time: clockTime(toMs, site.timeZone),
      humidityPct: isNow ? humidity.nowPct : lastIn(humidity.runs, toMs),
      power: isNow ? power.now : (span?.state ?? 'unknown'),
      fillPct: isNow ? (bottle?.fillPct ?? null) : lastIn(bottle?.runs ?? [], toMs),
    })
  }
  return rows
}

function fromTo(runs: readonly Run[], now: number | null, unit: string): string {
  const first = runs[0]?.[0]?.[1]
  const last = now ?? runs.at(-1)?.at(-1)?.[1]
  if (first === undefined || last === undefined) return 'without readings'
  const gaps = runs.length - 1
  const broken = gaps === 0 ? '' : ` with ${gaps === 1 ? 'a gap' : `${gaps} gaps`} in the readings`
  const unknown = now === null ? ', not known now' : ''
  return `from ${Math.round(first)} to ${Math.round(last)} ${unit}${broken}${unknown}`
}

function powerWords({ power }: MachineView, { nowMs, fromMs, site }: Times): string {
  const spans = joinedPower(power, nowMs)
  if (spans.length === 0) return 'power without readings'
  const time = (atMs: number): string => clockTime(atMs, site.timeZone)
  const off = spans.filter((s) => s.state === 'off')
  const unknown = power.now === 'unknown' ? ', not known now' : ''
  if (off.length === 0) return `power on${unknown}`
  if (off.length === spans.length && !unknown) return 'power off'
  const list = off.map(({ fromMs: start, toMs }) => {
    if (toMs >= nowMs) return `since ${time(start)}`
    return start <= fromMs ? `until ${time(toMs)}` : `from ${time(start)} to ${time(toMs)}`
  })
  return `power on but off ${list.join(' and ')}${unknown}`
}

function lastIn(runs: readonly Run[], toMs: number): number | null {
  for (const run of [...runs].reverse()) {
    const found = run.findLast(([atMs]) => atMs <= toMs && atMs > toMs - HOUR_MS)
    if (found) return found[1]
  }
  return null
}
