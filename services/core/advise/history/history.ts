import { alarmReason } from '../../alarms/alarm-reason.ts'
import { affectedMachines } from '../../assess/affected-machines.ts'
import type { Episode } from '../../model/episode.ts'
import type { HistoryBand, HistoryGrid, HistoryView, MachineHistory } from '../../model/history-view.ts'
import type { SeriesPoint } from '../../model/ports/records.ts'
import type { Quantity } from '../../model/quantity.ts'
import type { MachineQuarter } from '../../model/quarter.ts'
import type { Machine, Settings } from '../../model/settings.ts'
import { dewPointC, vapourPressureDeficitKpa } from '../../physics/air.ts'
import { fillPct } from '../../physics/bottle-volume.ts'
import { bandOf, joinBands } from './grid.ts'
import { doseBand, workOf } from './quarters.ts'

/** What the past is drawn from. */
export interface HistoryMaterial {
  readonly fromMs: number
  readonly toMs: number
  readonly nowMs: number
  readonly settings: Settings
  readonly machines: readonly Machine[]
  readonly readings: HistoryGrid
  readonly quarters: HistoryGrid
  /** Stretches of a sensor on the grid of readings. */
  readonly series: (sensorId: string, quantity: Quantity) => readonly SeriesPoint[]
  readonly quartersOf: (machineId: string) => readonly MachineQuarter[]
  readonly episodes: readonly Episode[]
}

/**
 * The past of machines, drawn honestly.
 *
 * PAST-1 a stretch shows its lowest and highest beside its mean, so that no spike is averaged away.
 * PAST-2 a stretch in which nothing was measured is a gap.
 * PAST-3 deficit and dew point of a stretch: of its mean air, in a band that holds all that its extremes allow.
 */
export function historyView(material: HistoryMaterial): HistoryView {
  const { fromMs, toMs, readings, quarters, machines } = material
  return {
    fromMs,
    toMs,
    readings,
    quarters,
    machines: machines.map((machine) => machineHistory(machine, material)),
    troubles: troublesOf(material),
  }
}

function machineHistory(machine: Machine, material: HistoryMaterial): MachineHistory {
  const { settings, readings, quarters } = material
  const bound = (kind: string, id: string, quantity: Quantity): readonly (readonly SeriesPoint[])[] =>
    settings.sensors
      .filter((s) => s.subject.kind === kind && s.subject.id === id && s.quantity === quantity)
      .map((s) => material.series(s.id, quantity))
  const humidityPct = bandOf(bound('room', machine.room, 'humidity'), readings, toHumidity)
  const temperatureC = bandOf(bound('room', machine.room, 'temperature'), readings)
  const bottle = settings.bottles.find((b) => b.machines.includes(machine.id))
  const noted = material.quartersOf(machine.id)
  const limits = settings.limits.doseKpaH
  const groups = machine.heads.filter((h) => h.removedOn === undefined).flatMap((h) => h.channelGroups)
  return {
    id: machine.id,
    title: machine.title,
    humidityPct,
    temperatureC,
    ...airOf(temperatureC, humidityPct),
    bottlePct: bottle
      ? bandOf(bound('bottle', bottle.id, 'mass'), readings, (kg) => fillPct(kg, bottle))
      : null,
    inks: groups.map(({ id, title, ink }) => ({
      channelGroupId: id,
      title,
      ink,
      limitKpaH: limits[ink],
      doseKpaH: doseBand(noted, id, quarters),
    })),
    ...workOf(noted, quarters),
  }
}

/** A sensor may read a little outside what there is. */
function toHumidity(pct: number): number {
  return Math.min(100, Math.max(0, pct))
}

/** Warm and dry air is the thirstiest, cold and damp air the least; dew point rises with both. */
function airOf(
  temperatureC: HistoryBand,
  humidityPct: HistoryBand,
): Pick<MachineHistory, 'vpdKpa' | 'dewPointC'> {
  const deficit = (t: number, rh: number): number | null =>
    within(t) ? vapourPressureDeficitKpa({ temperatureC: t, humidityPct: rh }) : null
  const dew = (t: number, rh: number): number | null =>
    within(t) && rh > 0 ? dewPointC({ temperatureC: t, humidityPct: rh }) : null
  return {
    vpdKpa: joinBands(temperatureC, humidityPct, {
      low: (t, rh) => deficit(t.low, rh.high),
      mean: (t, rh) => deficit(t.mean, rh.mean),
      high: (t, rh) => deficit(t.high, rh.low),
    }),
    dewPointC: joinBands(temperatureC, humidityPct, {
      low: (t, rh) => dew(t.low, rh.low),
      mean: (t, rh) => dew(t.mean, rh.mean),
      high: (t, rh) => dew(t.high, rh.high),
    }),
  }
}

/** Of a failing probe the formulas would refuse what it says. */
function within(temperatureC: number): boolean {
  return temperatureC >= -40 && temperatureC <= 60
}

function troublesOf({ episodes, machines, settings, nowMs }: HistoryMaterial): HistoryView['troubles'] {
  const shown = new Set(machines.map((m) => m.id))
  return episodes.flatMap((episode) => {
    const machineIds = affectedMachines(episode.subject, settings)
      .map((m) => m.id)
      .filter((id) => shown.has(id))
    if (machineIds.length === 0) return []
    const { condition, fromMs, toMs } = episode
    return [{ machineIds, condition, title: alarmReason(episode, { settings, nowMs }).title, fromMs, toMs }]
  })
}
