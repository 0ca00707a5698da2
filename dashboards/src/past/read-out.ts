import type {
  HistoryBand,
  HistoryCheck,
  HistoryGrid,
  HistoryView,
  MachineHistory,
} from '../../../services/core/model/history-view.ts'
import type { MachineDoing } from '../../../services/core/model/quarter.ts'
import { countText, NBSP } from '../words/quantity-text.ts'
import { TASK_END_WORDS, POWER_ORDER } from './lane-words.ts'
import { POWER_WORDS } from '../words/power-words.ts'
import { clockTime } from '../words/shop-time.ts'
import { dayWords } from './time-words.ts'
import type { Track, TrackLine } from './tracks.ts'

export interface Reading {
  readonly view: HistoryView
  readonly tracks: readonly Track[]
  readonly timeZone: string
}

/**
 * What was so at a moment, in a line of words with units.
 *
 * READ-1 a stretch is told from its lowest to its highest; as one number where they read the same.
 * READ-2 where nothing was measured it says so, for each thing that is shown.
 */
export function readOut(atMs: number, { view, tracks, timeZone }: Reading): string {
  const said = [
    ...tracks.flatMap((track) => trackWords(track, atMs)),
    ...view.machines.flatMap((machine) => powerWords(machine, view, atMs)),
    ...markWords(atMs, view),
  ]
  return `${stretchWords(atMs, view.readings, timeZone)}: ${said.length === 0 ? 'nothing was measured' : said.join('; ')}.`
}

/** `Tue 3 Mar 2026, 02:10 to 02:20`; `Tue 3 Mar 2026, 02:10` where a stretch is shorter than a minute. */
export function stretchWords(atMs: number, grid: HistoryGrid, timeZone: string): string {
  const fromMs = stretchStart(atMs, grid)
  const toMs = fromMs + grid.widthMs
  const from = `${dayWords(fromMs, timeZone)}, ${clockTime(fromMs, timeZone)}`
  if (grid.widthMs < 60_000) return `${from}:${String(Math.floor((fromMs % 60_000) / 1000)).padStart(2, '0')}`
  const isSameDay = dayWords(fromMs, timeZone) === dayWords(toMs, timeZone)
  return `${from} to ${isSameDay ? '' : `${dayWords(toMs, timeZone)}, `}${clockTime(toMs, timeZone)}`
}

export function stretchStart(atMs: number, grid: HistoryGrid): number {
  return (grid.startsMs[0] ?? 0) + placeIn(grid, atMs) * grid.widthMs
}

export function placeIn({ startsMs, widthMs }: HistoryGrid, atMs: number): number {
  return Math.floor((atMs - (startsMs[0] ?? 0)) / widthMs)
}

/** `34 to 37 %RH`, or `35 %RH`. Null where nothing was measured. */
export function bandWords(
  band: HistoryBand,
  at: number,
  { unit, digits }: Pick<Track, 'unit' | 'digits'>,
): string | null {
  const [low, high] = [band.low[at], band.high[at]]
  if (low == null || high == null) return null
  const [from, to] = [low.toFixed(digits), high.toFixed(digits)].map((t) =>
    t.replace(/^-(0(?:\.0*)?)$/, '$1'),
  )
  return `${from === to ? from : `${from} to ${to}`}${NBSP}${unit}`
}

function trackWords(track: Track, atMs: number): string[] {
  const words = track.lines.map((line) => `${line.label} ${lineWords(line, track, atMs)}`)
  return [`${track.title}: ${words.join(', ')}`]
}

/** A silence that is none is told by the last value before it. */
function lineWords({ band, grid, quietMs }: TrackLine, track: Track, atMs: number): string {
  const at = placeIn(grid, atMs)
  for (let back = 0; back * grid.widthMs <= quietMs; back++) {
    const words = bandWords(band, at - back, track)
    if (words !== null) return words
  }
  return 'not known'
}

function powerWords(machine: MachineHistory, { quarters }: HistoryView, atMs: number): string[] {
  const at = placeIn(quarters, atMs)
  const shares = POWER_ORDER.flatMap((doing): [MachineDoing, number][] => {
    const share = machine.shares[doing]?.[at]
    return share ? [[doing, share]] : []
  })
  if (shares.length === 0) return [`${machine.title}: power not known`]
  const words = shares.map(([doing, share]) =>
    share > 0.995 ? POWER_WORDS[doing] : `${POWER_WORDS[doing]} ${percent(share)}`,
  )
  const cleanings = machine.cleanings[at] ?? 0
  const cleaned = cleanings === 0 ? '' : `, cleaned ${cleanings === 1 ? 'once' : `${cleanings} times`}`
  return [`${machine.title}: ${words.join(', ')}${cleaned}`]
}

function percent(share: number): string {
  return share < 0.005 ? `under 1${NBSP}%` : `${Math.round(share * 100)}${NBSP}%`
}

function markWords(atMs: number, view: HistoryView): string[] {
  const fromMs = stretchStart(atMs, view.readings)
  const toMs = fromMs + view.readings.widthMs
  const troubles = view.troubles.filter((t) => t.fromMs < toMs && (t.toMs === null || t.toMs > fromMs))
  const within = (atMs: number): boolean => atMs >= fromMs && atMs < toMs
  const tasks = view.tasks.filter((t) => within(t.endedMs))
  const checks = view.checks.filter((c) => within(c.atMs))
  const entries = view.entries.filter((e) => within(e.atMs))
  return [
    ...told('nozzle check', [...new Set(checks.map(checkWords))]),
    ...told('logbook', [...new Set(entries.map((e) => e.title))]),
    ...told('alarm', [...new Set(troubles.map((t) => t.title))]),
    ...told('task', [...new Set(tasks.map((t) => `${t.title} (${TASK_END_WORDS[t.state]})`))]),
  ]
}

/** `all clear`, or `8 nozzles missing (White 8)`. */
export function checkWords({ missingNozzles, missing }: HistoryCheck): string {
  if (missingNozzles === 0) return 'all clear'
  const where = missing.map((m) => `${m.title} ${m.missingNozzles}`).join(', ')
  return `${countText(missingNozzles, 'nozzle', 'nozzles')} missing (${where})`
}

/** At a year's width a stretch can hold many: the first few, and how many more. */
function told(noun: string, titles: readonly string[]): string[] {
  if (titles.length === 0) return []
  const rest = titles.length - 3
  return [`${noun}: ${titles.slice(0, 3).join(', ')}${rest > 0 ? ` and ${rest} more` : ''}`]
}
