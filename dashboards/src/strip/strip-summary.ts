import type { BoardView, MachineView } from '../../../services/core/model/views.ts'
import { POWER_WORDS } from '../words/power-words.ts'
import { clockTime, dayClock } from '../words/shop-time.ts'
import { bandAt, type Band } from './ahead.ts'
import type { Run } from './gaps.ts'
import { driestInks } from './ink-lane.ts'
import { joinedPower } from './power-lane.ts'

type Times = Pick<BoardView, 'nowMs' | 'fromMs' | 'site'>

const HOUR_MS = 3_600_000

/** A strip in two sentences, for those who cannot see it: what was and what broke in between, then the night. */
export function stripSummary(machine: MachineView, board: Times): string {
  const { humidity, bottle, inks } = machine
  const parts = [
    `Humidity ${fromTo(humidity.runs, humidity.nowPct, '%RH')}, limit ${humidity.limitPct} %RH`,
    ...driestInks(inks).map((i) => `${i.ink} ink at ${Math.round(i.usedPct)} % of its drying limit`),
    powerWords(machine, board),
    ...cleaningWords(machine, board),
    ...(bottle ? [`bottle ${fromTo(bottle.runs, bottle.fillPct, '%')}, mark at ${bottle.nearPct} %`] : []),
  ]
  const hours = Math.round((board.nowMs - board.fromMs) / HOUR_MS)
  return `The past ${hours} hours. ${parts.join('; ')}.${nightSummary(machine, board)}`
}

function nightSummary({ night, inks, bottle }: MachineView, { nowMs, site }: Times): string {
  if (!night) return ' The night is not known.'
  const atEnd = (band: Band, unit: string): string | null => {
    const end = bandAt(band, Math.min(night.toMs, band.at(-1)?.[0] ?? 0))
    if (!end) return null
    const [, low, middle, high] = end.map(Math.round)
    return low === high ? `${middle} ${unit}` : `${middle} ${unit} (${low} to ${high})`
  }
  const named = [
    ['humidity', atEnd(night.humidityPct, '%RH')],
    ...driestInks(inks).map((i) => [`${i.ink} ink`, atEnd(i.ahead, '% of its limit')]),
    ['bottle', atEnd(bottle?.ahead ?? [], '%')],
  ].flatMap(([name, text]) => (text ? [`${name} ${text}`] : []))
  if (named.length === 0) return ' The night is not known.'
  const opening = dayClock(night.toMs, { timeZone: site.timeZone, nowMs })
  return ` Expected at the next opening, ${opening}: ${named.join('; ')}.`
}

function cleaningWords({ cleanings }: MachineView, { site }: Times): string[] {
  const last = cleanings.at(-1)
  if (!last) return []
  const count = cleanings.length === 1 ? '1 cleaning' : `${cleanings.length} cleanings`
  const which = cleanings.length === 1 ? '' : ', the last'
  return [`${count}${which} ${last.basis} at ${clockTime(last.atMs, site.timeZone)}`]
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
  // The states of a running machine change often: told is what it does now.
  const known = power.now === 'off' || power.now === 'unknown' ? 'on' : POWER_WORDS[power.now]
  if (off.length === 0) return `power ${known}${unknown}`
  if (off.length === spans.length && !unknown) return 'power off'
  const list = off.map(({ fromMs: start, toMs }) => {
    if (toMs >= nowMs) return `since ${time(start)}`
    return start <= fromMs ? `until ${time(toMs)}` : `from ${time(start)} to ${time(toMs)}`
  })
  return `power ${known} but off ${list.join(' and ')}${unknown}`
}
