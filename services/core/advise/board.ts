import { affectedMachines } from '../assess/affected-machines.ts'
import { byUrgency, standingOf } from '../assess/standing.ts'
import type { Alarm } from '../model/alarm.ts'
import { clockText } from '../model/clock-text.ts'
import type { OpeningCalendar } from '../model/opening-hours.ts'
import type { Machine, Settings } from '../model/settings.ts'
import type { Task } from '../model/task.ts'
import type { BoardView, MachineView } from '../model/views.ts'
import { alarmsOfMachine } from './machine-state.ts'
import { roomView, type LatestValues } from './room-view.ts'
import { machineSentence } from './sentence.ts'
import type { MachineStrip } from './strip.ts'

export const BOARD_PAST_MS = 12 * 3_600_000

/** All that the board is made of; the shell reads it from the book of record. */
export interface BoardMaterial {
  readonly nowMs: number
  readonly settings: Settings
  readonly calendar: OpeningCalendar
  readonly alarms: readonly Alarm[]
  readonly openTasks: readonly Task[]
  readonly latest: LatestValues
  readonly strips: ReadonlyMap<string, MachineStrip>
  readonly sensors: BoardView['sensors']
  readonly quarantined: number
  readonly lastReadingMs: number | null
  readonly plaintextBeyondLoopback: boolean
}

/** What the board shows, in full. Pure: the same material gives the same board. */
export function boardView(material: BoardMaterial): BoardView {
  const { nowMs, settings, calendar } = material
  const { id, title, timeZone, temperatureUnit, volumeUnit } = settings.site
  const fromMs = nowMs - BOARD_PAST_MS
  const machines = settings.machines.map((m) => machineView(m, material))
  const shopAlarms = material.alarms
    .filter((a) => affectedMachines(a.subject, settings).length === 0)
    .sort(byUrgency)
  return {
    nowMs,
    fromMs,
    site: {
      id,
      title,
      timeZone,
      temperatureUnit,
      volumeUnit,
      open: calendar.isOpenAt(nowMs),
      nextChangeMs: calendar.nextChangeAfter(nowMs),
    },
    statement: statementOf(material, machines),
    nextSteps: nextStepsOf(material),
    closedSpans: calendar.closedSpans({ fromMs, toMs: nowMs }).map((s) => ({ ...s })),
    machines,
    rooms: settings.rooms.map((room) => roomView(room, material.latest)),
    shopAlarms,
    sensors: material.sensors,
    quarantined: material.quarantined,
    openTasks: material.openTasks.length,
    lastReadingMs: material.lastReadingMs,
    plaintextBeyondLoopback: material.plaintextBeyondLoopback,
  }
}

function machineView(machine: Machine, material: BoardMaterial): MachineView {
  const { settings, openTasks, strips, nowMs } = material
  const own = alarmsOfMachine(machine, material.alarms, settings)
  const alarm = own[0] ?? null
  const strip = strips.get(machine.id)
  const watched = settings.sensors.some((s) =>
    affectedMachines(s.subject, settings).some((m) => m.id === machine.id),
  )
  const standing = standingOf(own, watched && (strip?.known ?? false))
  const task = alarm ? openTasks.find((t) => t.alarmId === alarm.id) : undefined
  const bottle = settings.bottles.find((b) => b.machines.includes(machine.id))
  const air = {
    limitPct: settings.limits.airDryPct.openBelow,
    nowPct: strip?.humidity.nowPct ?? null,
    runs: strip?.humidity.runs ?? [],
  }
  return {
    id: machine.id,
    title: machine.title,
    roomTitle: settings.rooms.find((r) => r.id === machine.room)?.title ?? machine.room,
    standing,
    ...machineSentence({ standing, alarm, strip, watched, timeZone: settings.site.timeZone, nowMs }),
    action: task ? { label: task.title, taskId: task.id } : null,
    alarm,
    otherAlarms: Math.max(0, own.length - 1),
    humidity: air,
    power: { now: strip?.power.now ?? 'unknown', spans: strip?.power.spans ?? [] },
    bottle: bottle
      ? {
          id: bottle.id,
          title: bottle.title,
          fillPct: strip?.bottle?.fillPct ?? null,
          volumeMl: strip?.bottle?.volumeMl ?? null,
          capacityMl: bottle.capacityMl,
          nearPct: settings.limits.bottleNearPct.openAbove,
          sharedBy: bottle.machines.filter((id) => id !== machine.id),
          runs: strip?.bottle?.runs ?? [],
        }
      : null,
  }
}

/** "Closed until Mon 08:30. 2 machines need you, 1 of them now." */
function statementOf(
  { nowMs, settings, calendar, openTasks }: BoardMaterial,
  machines: readonly MachineView[],
): string {
  const change = calendar.nextChangeAfter(nowMs)
  const until =
    change === null ? '' : ` until ${clockText(change, { timeZone: settings.site.timeZone, nowMs })}`
  const hours =
    settings.hours.weekly.length === 0
      ? 'No opening hours set, so the stricter night limits hold all day.'
      : `${calendar.isOpenAt(nowMs) ? 'Open' : 'Closed'}${until}.`
  const urgent = machines.filter((m) => m.standing === 'actNow').length
  const unknown = machines.filter((m) => m.standing === 'unknown').length
  if (urgent > 0) return `${hours} ${count(urgent, 'machine needs', 'machines need')} you now.`
  if (openTasks.length > 0)
    return `${hours} ${count(openTasks.length, 'thing waits', 'things wait')} for you.`
  if (unknown > 0)
    return `${hours} Nothing asks for you, but ${count(unknown, 'machine is', 'machines are')} not fully watched.`
  return machines.length === 0 ? hours : `${hours} Nothing needs you.`
}

function nextStepsOf({ settings, sensors }: BoardMaterial): string[] {
  const steps: string[] = []
  if (settings.rooms.length === 0) steps.push('Add the room your machines stand in, under Setup.')
  if (settings.machines.length === 0) steps.push('Add your machines, under Setup.')
  if (settings.hours.weekly.length === 0)
    steps.push('Set your opening hours, under Setup, so that night and day are told apart.')
  if (sensors.assigned === 0 && sensors.unassigned === 0) {
    steps.push(
      'Add a sensor node under Sensors, and start it: sensors that are heard appear there by themselves.',
    )
  }
  if (sensors.unassigned > 0)
    steps.push(
      `Assign ${count(sensors.unassigned, 'sensor that is', 'sensors that are')} heard, under Sensors.`,
    )
  return steps
}

function count(n: number, one: string, many: string): string {
  return `${n} ${n === 1 ? one : many}`
}
