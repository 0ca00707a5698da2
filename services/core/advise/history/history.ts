import type {
  BottleHistory,
  HistoryLimits,
  HistoryView,
  MachineHistory,
  RoomHistory,
} from '../../model/history-view.ts'
import { openingCalendar } from '../../model/opening-hours.ts'
import type { SeriesPoint } from '../../model/ports/records.ts'
import type { Quantity } from '../../model/quantity.ts'
import type { Bottle, Limits, Machine, Room } from '../../model/settings.ts'
import { fillPct } from '../../physics/bottle-volume.ts'
import { recentNights } from '../morning-nights.ts'
import { airOf } from './air.ts'
import { bandOf, roundedBand } from './grid.ts'
import { marksOf } from './marks.ts'
import type { HistoryMaterial } from './material.ts'
import { doseBand, workOf } from './quarters.ts'

/** Two months: over more, nights are stripes that hide what stands before them. */
const NIGHTS_SHOWN_MS = 62 * 86_400_000

/**
 * The past of rooms, bottles and machines, drawn honestly.
 *
 * PAST-1 a stretch shows its lowest and highest beside its mean, so that no spike is averaged away.
 * PAST-2 a stretch in which nothing was measured is a gap.
 * PAST-3 deficit and dew point of a stretch: of its mean air, in a band that holds all that its extremes allow.
 * PAST-4 how long sensors may be silent before it is a gap is what the settings call silent.
 * PAST-5 troubles, tasks, checks and entries are those of what is shown.
 */
export function historyView(material: HistoryMaterial): HistoryView {
  const { fromMs, toMs, readings, quarters, settings, rooms, bottles, machines } = material
  const calendar = openingCalendar(settings)
  const [night] = recentNights(calendar, material.nowMs)
  return {
    fromMs,
    toMs,
    readings,
    quarters,
    limits: limitsOf(settings.limits),
    rooms: rooms.map((room) => roomHistory(room, material)),
    bottles: bottles.map((bottle) => bottleHistory(bottle, material)),
    machines: machines.map((machine) => machineHistory(machine, material)),
    closed:
      toMs - fromMs > NIGHTS_SHOWN_MS ? [] : calendar.closedSpans({ fromMs, toMs }).map((s) => ({ ...s })),
    ...marksOf(material),
    sourceNotes: [...material.sourceNotes],
    beginsMs: material.beginsMs,
    lastNight: night ? { fromMs: night.fromMs, toMs: night.toMs } : null,
    choices: {
      machines: settings.machines.map(named),
      rooms: settings.rooms.map(named),
      bottles: settings.bottles.map(named),
    },
  }
}

function named({ id, title }: { id: string; title: string }): { id: string; title: string } {
  return { id, title }
}

function limitsOf(limits: Limits): HistoryLimits {
  return {
    airVeryDryPct: limits.airVeryDryPct.openBelow,
    airDryPct: limits.airDryPct.openBelow,
    airDampPct: limits.airDampPct.openAbove,
    roomColdC: limits.roomColdC.openBelow,
    roomWarmC: limits.roomWarmC.openAbove,
    bottleNearPct: limits.bottleNearPct.openAbove,
    bottleFullPct: limits.bottleFullPct.openAbove,
  }
}

function boundTo({ kind, id }: { kind: string; id: string }, { settings, series }: HistoryMaterial) {
  const bound = settings.sensors.filter((s) => s.subject.kind === kind && s.subject.id === id)
  const { intervals, atLeastMs } = settings.limits.silent
  return {
    of: (quantity: Quantity): readonly (readonly SeriesPoint[])[] =>
      bound.filter((s) => s.quantity === quantity).map((s) => series(s.id, quantity)),
    quietMs: Math.round(Math.max(atLeastMs, ...bound.map((s) => s.intervalMs * intervals))),
  }
}

function roomHistory({ id, title }: Room, material: HistoryMaterial): RoomHistory {
  const { of, quietMs } = boundTo({ kind: 'room', id }, material)
  const sensors = { humidity: of('humidity'), temperature: of('temperature') }
  return { id, title, quietMs, ...airOf(sensors, material.readings) }
}

function bottleHistory(bottle: Bottle, material: HistoryMaterial): BottleHistory {
  const { id, title } = bottle
  const { of, quietMs } = boundTo({ kind: 'bottle', id }, material)
  const band = bandOf(of('mass'), material.readings, (kg) => fillPct(kg, bottle))
  return { id, title, quietMs, fillPct: roundedBand(band, 2) }
}

function machineHistory(machine: Machine, material: HistoryMaterial): MachineHistory {
  const { settings, quarters } = material
  const stretches = material.stretchesOf(machine.id)
  const groups = machine.heads.filter((h) => h.removedOn === undefined).flatMap((h) => h.channelGroups)
  return {
    id: machine.id,
    title: machine.title,
    inks: groups.map(({ id, title, ink }) => ({
      channelGroupId: id,
      title,
      ink,
      limitKpaH: settings.limits.doseKpaH[ink],
      doseKpaH: roundedBand(doseBand(stretches, id, quarters), 2),
    })),
    ...workOf(stretches, quarters),
  }
}
