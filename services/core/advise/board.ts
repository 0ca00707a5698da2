import { isSetAside, isStanding } from '../alarms/life-cycle.ts'
import { affectedMachines } from '../assess/affected-machines.ts'
import { hasWay } from '../alarms/telling/who-is-asked.ts'
import { byUrgency, standingOf } from '../assess/standing.ts'
import { machineNight } from '../forecast/machine-night.ts'
import type { NightlyFacts } from '../forecast/with-night.ts'
import type { Alarm } from '../model/alarm.ts'
import { clockText } from '../model/clock-text.ts'
import type { OpeningCalendar } from '../model/opening-hours.ts'
import type { Machine, Settings } from '../model/settings.ts'
import { isTaskOf, type Task } from '../model/task.ts'
import type { BoardView, MachineView, QuietView } from '../model/views.ts'
import type { Episode } from '../model/episode.ts'
import type { BottleFacts } from '../track/bottle-facts.ts'
import type { SubjectContext } from '../track/tracker.ts'
import { dayStartMs } from './closing-day.ts'
import { bottleView } from './bottle-view.ts'
import { inkViews } from './ink-view.ts'
import { machineNow, nightView, type MachineNow } from './machine-now.ts'
import { whyOf } from './why/why-of.ts'
import { alarmsOfMachine } from './machine-state.ts'
import { roomView, type LatestValues } from './room-view.ts'
import { machineSentence } from './sentence.ts'
import type { MachineStrip } from './strip.ts'

export const BOARD_PAST_MS = 12 * 3_600_000
const LAST_HOUR_MS = 3_600_000
/** A shop that closes for less than this has a break, not a night. Starting value. */
const SHORTEST_NIGHT_MS = 4 * 3_600_000

export interface Known<Facts> {
  readonly facts: Facts
  readonly context: SubjectContext
}

/** All that the board is made of; the shell reads it from the book of record. */
export interface BoardMaterial {
  readonly nowMs: number
  readonly settings: Settings
  readonly calendar: OpeningCalendar
  readonly alarms: readonly Alarm[]
  readonly openTasks: readonly Task[]
  readonly latest: LatestValues
  readonly strips: ReadonlyMap<string, MachineStrip>
  /** What the kernel knows of each machine and each bottle, by id. */
  readonly machines: ReadonlyMap<string, Known<NightlyFacts>>
  readonly bottles: ReadonlyMap<string, Known<BottleFacts>>
  /** When somebody last went through the closing list to its end, or null. */
  readonly closingDoneMs: number | null
  /** Open episodes by id. */
  readonly episodes: ReadonlyMap<string, Episode>
  readonly quiets: readonly QuietView[]
  /** Since when there is an alarm flood, or null. */
  readonly floodSinceMs: number | null
  /** Learned values that wait for a person, in words: "the power bands of Roll 60". */
  readonly waiting: readonly string[]
  readonly sensors: BoardView['sensors']
  readonly quarantined: number
  readonly lastReadingMs: number | null
  readonly plaintextBeyondLoopback: boolean
  /** Readings that wait for a second store which does not take them; null while it does, or there is none. */
  readonly readingsWaiting: number | null
  /** What is wrong with the monitor itself, each with its cure. */
  readonly ownTroubles: readonly string[]
}

/** What the board shows, in full. Pure: the same material gives the same board. */
export function boardView(material: BoardMaterial): BoardView {
  const { nowMs, settings, calendar } = material
  const { id, title, timeZone, temperatureUnit, volumeUnit } = settings.site
  const fromMs = nowMs - BOARD_PAST_MS
  const machines = settings.machines.map((m) => machineView(m, material))
  const shopAlarms = material.alarms
    .filter((a) => affectedMachines(a.subject, settings).length === 0 && !isSetAside(a))
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
    statement: statementOf(material, {
      machines,
      elsewhere: shopAlarms.filter((a) => a.returnedMs === null),
    }),
    nextSteps: nextStepsOf(material),
    closedSpans: calendar.closedSpans({ fromMs, toMs: nowMs }).map((s) => ({ ...s })),
    machines,
    quiets: material.quiets.map((q) => ({ ...q })),
    rooms: settings.rooms.map((room) => roomView(room, settings.rooms, material.latest)),
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
  const task = alarm ? openTasks.find((t) => isTaskOf(t, alarm.id)) : undefined
  const bottle = settings.bottles.find((b) => b.machines.includes(machine.id))
  const known = material.machines.get(machine.id)
  const night = known ? machineNight(known.facts, known.context, nowMs) : null
  const lead = alarm ? material.episodes.get(alarm.leadEpisodeId) : undefined
  const span = { fromMs: nowMs - BOARD_PAST_MS, nowMs }
  const now: MachineNow = known ? machineNow(known.facts, known.context, span) : NOTHING_KNOWN
  const bottleNow = bottle && {
    ...bottleView(bottle, machine.id, material.bottles.get(bottle.id), nowMs),
    runs: strip?.bottle?.runs ?? [],
  }
  const inks = known ? inkViews(known.facts, known.context, { nowMs, night }) : []
  const measured = {
    humidityPct: strip?.humidity.nowPct ?? null,
    power: now.power.now,
    bottle: bottleNow ?? null,
    inks,
  }
  return {
    id: machine.id,
    title: machine.title,
    roomTitle: settings.rooms.find((r) => r.id === machine.room)?.title ?? machine.room,
    standing,
    ...machineSentence({ standing, alarm, measured, watched, timeZone: settings.site.timeZone, nowMs }),
    action: task ? { label: task.title, taskId: task.id } : null,
    alarm,
    otherAlarms: own.slice(1).filter(isStanding).length,
    humidity: {
      limitPct: settings.limits.airDryPct.openBelow,
      nowPct: strip?.humidity.nowPct ?? null,
      runs: strip?.humidity.runs ?? [],
    },
    ...now,
    outOfService: material.quiets.some((q) => isOutOfService(q, machine.id, nowMs)),
    inks,
    night: night && nightView(night),
    why: lead ? whyOf(lead, settings) : null,
    bottle: bottleNow ?? null,
  }
}

const NOTHING_KNOWN: MachineNow = {
  power: { now: 'unknown', spans: [], bandsFrom: null },
  cleanings: [],
  cap: 'unknown',
  servicedUntilMs: null,
}

function isOutOfService({ kind, machineId, fromMs, toMs }: QuietView, id: string, nowMs: number): boolean {
  const meant = machineId === null || machineId === id
  return kind === 'outOfService' && meant && nowMs >= fromMs && (toMs === null || nowMs < toMs)
}

/**
 * "Closed until Mon 08:30. 2 machines need you now."
 *
 * Where work was signed off or somebody is on it, and the trouble still stands below, it never says that all is well: that
 * of a machine, nor that of a room, a bottle or a node that belongs to no machine.
 */
function statementOf(
  { nowMs, settings, calendar, openTasks, floodSinceMs }: BoardMaterial,
  { machines, elsewhere }: { machines: readonly MachineView[]; elsewhere: readonly Alarm[] },
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
  if (floodSinceMs !== null) {
    const since = clockText(floodSinceMs, { timeZone: settings.site.timeZone, nowMs })
    return `${hours} Many alarms at once since ${since}: begin with the first below, one cause often brings many.`
  }
  if (urgent > 0) return `${hours} ${count(urgent, 'machine needs', 'machines need')} you now.`
  if (openTasks.length > 0)
    return `${hours} ${count(openTasks.length, 'thing waits', 'things wait')} for you.`
  const standing = machines.filter((m) => m.standing === 'beforeOpening').length
  const left = [
    ...(standing > 0 ? [`${count(standing, 'machine is', 'machines are')} not well yet`] : []),
    ...(elsewhere.length > 0
      ? [`${count(elsewhere.length, 'trouble elsewhere is', 'troubles elsewhere are')} not over yet`]
      : []),
  ]
  if (left.length > 0) return `${hours} Nothing new asks for you; ${left.join(', ')}.`
  if (unknown > 0)
    return `${hours} Nothing asks for you, but ${count(unknown, 'machine is', 'machines are')} not fully watched.`
  return machines.length === 0 ? hours : `${hours} Nothing needs you.`
}

/**
 * NEXT-1 in the last hour before closing for a night, the closing list, until somebody has gone through it.
 * NEXT-2 while the shop is open and something of the night is over that nobody has seen, the morning report.
 */
function dailySteps({ nowMs, calendar, alarms, closingDoneMs, settings }: BoardMaterial): string[] {
  if (!calendar.isOpenAt(nowMs)) return []
  const closesMs = calendar.nextChangeAfter(nowMs)
  const opensMs = closesMs === null ? null : calendar.nextOpeningAfter(closesMs)
  const isLastHour = closesMs !== null && closesMs - nowMs <= LAST_HOUR_MS
  const isNight = closesMs !== null && (opensMs === null || opensMs - closesMs >= SHORTEST_NIGHT_MS)
  const dayMs = dayStartMs(calendar, nowMs)
  const isDone = closingDoneMs !== null && closingDoneMs >= dayMs
  return [
    ...(isLastHour && isNight && !isDone && settings.machines.length > 0
      ? ['Go through the closing list, under Closing.']
      : []),
    ...(alarms.some((a) => a.state === 'returnedUnacknowledged' && a.openedMs < dayMs)
      ? ['Read what the night did, under Morning.']
      : []),
  ]
}

function nextStepsOf(material: BoardMaterial): string[] {
  const { settings, sensors, waiting, readingsWaiting } = material
  const steps: string[] = [...material.ownTroubles.map(ownStep), ...dailySteps(material)]
  if (settings.rooms.length === 0)
    steps.push('Begin with Setup, Step by step: it leads from here to the first sensor.')
  if (settings.rooms.length === 0) steps.push('Add the room your machines stand in, under Setup.')
  if (settings.machines.length === 0) steps.push('Add your machines, under Setup.')
  if (settings.machines.length > 0 && !settings.contacts.some(hasWay))
    steps.push('Say who is told at night, and how, under Setup.')
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
  for (const what of waiting) steps.push(`Look at ${what}: what was learned anew differs by over a fifth.`)
  if (readingsWaiting !== null) {
    steps.push(
      `Look at InfluxDB, which does not answer: ${count(readingsWaiting, 'reading waits', 'readings wait')} here for it, and nothing is lost.`,
    )
  }
  return steps
}

function ownStep(trouble: string): string {
  return `Nightcap itself needs you: ${trouble}.`
}

function count(n: number, one: string, many: string): string {
  return `${n} ${n === 1 ? one : many}`
}
