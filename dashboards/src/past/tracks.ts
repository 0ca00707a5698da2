import type {
  HistoryBand,
  HistoryGrid,
  HistoryView,
  MachineHistory,
} from '../../../services/core/model/history-view.ts'
import type { TemperatureUnit } from '../words/quantity-text.ts'

/** One line of a track with its band, told from its neighbours by its dashes, the first being full. */
export interface TrackLine {
  readonly label: string
  readonly band: HistoryBand
  readonly grid: HistoryGrid
  /** A silence up to this long is no gap. */
  readonly quietMs: number
}

export interface TrackLimit {
  readonly value: number
  readonly label: string
}

/** Lines of one quantity over each other, on one scale. */
export interface Track {
  readonly key: string
  readonly title: string
  readonly unit: string
  readonly digits: number
  readonly lines: readonly TrackLine[]
  readonly limits: readonly TrackLimit[]
  readonly scale: { readonly min: number; readonly max: number }
}

type RoomBand = 'humidityPct' | 'vpdKpa' | 'dewPointC' | 'temperatureC'

/** The tracks of a view from top to bottom; one in which nothing was ever measured is left out. */
export function tracksOf(view: HistoryView, unit: TemperatureUnit): Track[] {
  const { limits } = view
  const degrees = unit === 'degF' ? '°F' : '°C'
  const t = (c: number): number => inUnit(c, unit)
  const tracks = [
    roomTrack(view, 'humidityPct', {
      title: 'Relative humidity',
      unit: '%RH',
      digits: 0,
      least: 10,
      limits: [
        { value: limits.airVeryDryPct, label: 'very dry' },
        { value: limits.airDryPct, label: 'dry' },
        { value: limits.airDampPct, label: 'damp' },
      ],
    }),
    roomTrack(view, 'vpdKpa', { title: 'Vapour pressure deficit', unit: 'kPa', digits: 2, least: 0.4 }),
    roomTrack(view, 'dewPointC', { title: 'Dew point', unit: degrees, digits: 1, least: 3, turn: t }),
    roomTrack(view, 'temperatureC', {
      title: 'Temperature',
      unit: degrees,
      digits: 1,
      least: 3,
      turn: t,
      limits: [
        { value: t(limits.roomColdC), label: 'cold' },
        { value: t(limits.roomWarmC), label: 'warm' },
      ],
    }),
    ...view.machines.map((machine) => doseTrack(machine, view)),
    bottleTrack(view),
  ]
  return tracks.filter((track) => track.lines.length > 0)
}

interface RoomTrack extends Pick<Track, 'title' | 'unit' | 'digits'> {
  /** The scale is never narrower than this, so that noise does not look like weather. */
  readonly least: number
  readonly limits?: readonly TrackLimit[]
  readonly turn?: (value: number) => number
}

function roomTrack(
  view: HistoryView,
  which: RoomBand,
  { title, unit, digits, least, limits = [], turn }: RoomTrack,
): Track {
  const lines = view.rooms
    .filter((room) => isMeasured(room[which]))
    .map((room) => ({
      label: room.title,
      band: turn ? turned(room[which], turn) : room[which],
      grid: view.readings,
      quietMs: room.quietMs,
    }))
  return { key: which, title, unit, digits, lines, limits, scale: scaleOf(lines, limits, { least }) }
}

function doseTrack(machine: MachineHistory, view: HistoryView): Track {
  const lines = machine.inks
    .filter((ink) => isMeasured(ink.doseKpaH))
    .map((ink) => ({
      label: ink.title,
      band: ink.doseKpaH,
      grid: view.quarters,
      quietMs: view.quarters.widthMs,
    }))
  const values = [...new Set(machine.inks.map((ink) => ink.limitKpaH))]
  const limits = values.map((value) => {
    const inks = machine.inks.filter((ink) => ink.limitKpaH === value)
    const whose = inks.map((ink) => ink.title.toLowerCase()).join(', ')
    return { value, label: values.length === 1 ? 'limit' : `limit, ${whose}` }
  })
  return {
    key: `dose-${machine.id}`,
    title: `Drying dose, ${machine.title}`,
    unit: 'kPa h',
    digits: 0,
    lines,
    limits,
    scale: scaleOf(lines, limits, { least: 20, from: 0 }),
  }
}

function bottleTrack(view: HistoryView): Track {
  const lines = view.bottles
    .filter((bottle) => isMeasured(bottle.fillPct))
    .map(({ title, fillPct, quietMs }) => ({ label: title, band: fillPct, grid: view.readings, quietMs }))
  const limits = [
    { value: view.limits.bottleNearPct, label: 'nearly full' },
    { value: view.limits.bottleFullPct, label: 'full' },
  ]
  const scale = scaleOf(lines, limits, { least: 100, from: 0 })
  return { key: 'bottles', title: 'Waste bottles', unit: '%', digits: 0, lines, limits, scale }
}

export function isMeasured(band: HistoryBand): boolean {
  return band.mean.some((v) => v !== null)
}

/** TRACK-1 the scale holds all that was measured, and a limit that lies near. */
function scaleOf(
  lines: readonly TrackLine[],
  limits: readonly TrackLimit[],
  { least, from }: { least: number; from?: number },
): Track['scale'] {
  let [min, max] = [from ?? Infinity, from ?? -Infinity]
  for (const { band } of lines) {
    for (const v of band.low) if (v !== null && v < min) min = v
    for (const v of band.high) if (v !== null && v > max) max = v
  }
  if (min > max) return { min: 0, max: 1 }
  const reach = Math.max(least / 2, (max - min) * 0.6)
  const near = limits.filter((l) => l.value >= min - reach && l.value <= max + reach).map((l) => l.value)
  const [low, high] = [Math.min(min, ...near), Math.max(max, ...near)]
  const lacking = Math.max(0, least - (high - low)) / 2
  const pad = (high - low + 2 * lacking) * 0.08
  return {
    min: from === undefined ? low - lacking - pad : Math.min(from, low),
    max: from === undefined ? high + lacking + pad : high + 2 * lacking + pad,
  }
}

export function inUnit(celsius: number, unit: TemperatureUnit): number {
  return unit === 'degF' ? Math.round((celsius * 9 * 100) / 5 + 3200) / 100 : celsius
}

function turned({ low, mean, high, last }: HistoryBand, turn: (value: number) => number): HistoryBand {
  const all = (values: readonly (number | null)[]): (number | null)[] =>
    values.map((v) => (v === null ? null : turn(v)))
  return { low: all(low), mean: all(mean), high: all(high), last: all(last) }
}
