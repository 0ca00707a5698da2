import type { Incident } from '../../sensors/simulator/incident.ts'
import type { MachinePlan, ShopPlan } from '../../sensors/simulator/plan-kinds.ts'
import type { MachineNow, ShopNow } from '../../sensors/simulator/shop-now.ts'
import type { Condition } from '../../services/core/model/episode.ts'
import type { OpeningCalendar } from '../../services/core/model/opening-hours.ts'
import { createDoseTruth, type Crossing } from './dose-truth.ts'
import type { Faults } from './faults.ts'
import type { Level, SpanRecorder } from './span-recorder.ts'

const MINUTE = 60_000
const HOUR = 60 * MINUTE
/** A print that began this long before the power fell was surely seen, one that ended this long before maybe taken for it. */
const SURELY_PRINTING = 10 * MINUTE
const MAYBE_PRINTING = 15 * MINUTE
const HOMED_AFTER = 3 * MINUTE
const BETWEEN_BANDS = 30 * MINUTE
/** So many logged cleanings, and no fewer, teach that the meter sees them. */
const SURELY_RECOGNISED = 10

/** What a shop's sensors can tell of a machine, once its bands are learned. */
export interface Watching {
  readonly machine: MachinePlan
  readonly sensorIds: readonly string[]
  readonly airIds: readonly string[]
  readonly everyMs: number
  readonly meter: boolean
  /** Three readings within a cleaning. */
  readonly seesCleanings: boolean
}

export interface MachineTruthParts {
  readonly plan: ShopPlan
  readonly incidents: readonly Incident[]
  readonly calendar: OpeningCalendar
  readonly faults: Faults
  readonly recorder: SpanRecorder
  /** Before this nothing was learned that could be expected. */
  readonly learnedMs: number
  /** Grows as doses pass their limits. */
  readonly crossings: Crossing[]
}

/** What a person has said so far, as the monitor was told. */
export interface Said {
  readonly uncapped: boolean
  readonly loggedCleanings: number
}

export function watchingOf(plan: ShopPlan): readonly Watching[] {
  return plan.machines.map((machine) => {
    const own = plan.sensors.filter((s) => s.subjectId === machine.id)
    const everyMs = Math.max(...own.map((s) => s.everyMs))
    const meter = own.some((s) => s.quantity === 'power')
    return {
      machine,
      sensorIds: own.map((s) => s.id),
      airIds: plan.sensors.filter((s) => s.subjectId === machine.roomId).map((s) => s.id),
      everyMs,
      meter,
      seesCleanings: meter && (machine.cleaningMs ?? 180_000) >= 3.3 * everyMs,
    }
  })
}

interface Past {
  off: boolean
  offMs: number
  fell: 'printing' | 'maybePrinting' | 'resting'
  onMs: number
  state: MachineNow['state']
  printingMs: number
  printedMs: number
  workedMs: number
  errorMs: number | null
  readonly fallsMs: number[]
  readonly seenFallsMs: number[]
}

/** True power, cap, dose, cleanings and errors of one machine. */
export function watchMachine(w: Watching, parts: MachineTruthParts, startMs: number) {
  const { plan, incidents, calendar, faults, recorder, learnedMs } = parts
  const { limits } = plan.settings
  const { id } = w.machine
  const errors = incidents.filter((i) => i.kind === 'errorStop' && i.subjectId === id)
  const brownouts = incidents.filter((i) => i.kind === 'brownout' && i.subjectId === id)
  const slackMs = 2 * w.everyMs
  const dose = createDoseTruth(w, parts)
  const past: Past = {
    off: false,
    offMs: startMs,
    fell: 'resting',
    onMs: startMs,
    state: 'standby',
    printingMs: startMs,
    printedMs: startMs,
    workedMs: startMs,
    errorMs: null,
    fallsMs: [],
    seenFallsMs: [],
  }

  const note = (
    atMs: number,
    condition: Condition,
    level: Level,
    { delayMs = 0, subject = `machine:${id}` }: { delayMs?: number; subject?: string } = {},
  ): void => {
    const seen = level === 2 && faults.blind(w.sensorIds, atMs) ? 1 : level
    recorder.note({ condition, subject }, seen, { atMs, delayMs, slackMs })
  }
  /** What rests on bands is not expected before they are learned, nor from a contact. */
  const whenSeen = (level: Level, atMs: number, sees = w.meter): Level =>
    level === 2 && !(sees && atMs >= learnedMs) ? 1 : level
  const during = (list: readonly Incident[], atMs: number): Incident | undefined =>
    list.find((i) => atMs >= i.fromMs && atMs < i.toMs)

  const follow = (m: MachineNow, atMs: number): void => {
    const off = m.state === 'off'
    if (off && !past.off) {
      past.offMs = atMs
      past.fallsMs.push(atMs)
      const longPrinting = past.state === 'printing' && atMs - past.printingMs >= SURELY_PRINTING
      const doubtful = past.state === 'cleaning' || past.state === 'starting'
      const lately = atMs - past.printedMs < MAYBE_PRINTING
      past.fell = longPrinting ? 'printing' : doubtful || lately ? 'maybePrinting' : 'resting'
    }
    // A sensor that is read every few minutes sees only what holds just then; its first reading comes a minute in.
    const isRead = (atMs - startMs - MINUTE) % w.everyMs === 0
    if (off && isRead && (past.seenFallsMs.at(-1) ?? 0) < past.offMs) past.seenFallsMs.push(atMs)
    if (!off && past.off) past.onMs = past.workedMs = atMs
    if (m.state === 'printing' && past.state !== 'printing') past.printingMs = atMs
    if (m.state === 'printing' || past.state === 'printing') past.printedMs = past.workedMs = atMs
    if (m.state === 'cleaning' || (m.wetted && !off)) past.workedMs = atMs
    past.off = off
    past.state = m.state
  }
  const notePower = (atMs: number): void => {
    const { closedMs, openMs } = limits.powerOff
    const { off, offMs } = past
    const untilClosedMs = calendar.closedFrom(offMs) - offMs
    note(atMs, 'powerLost', off ? 2 : 0, { delayMs: Math.min(openMs, untilClosedMs + closedMs) })
    const openThen = calendar.isOpenAt(offMs - slackMs)
    const leftOff = off && openThen ? (calendar.isOpenAt(offMs) ? 2 : 1) : 0
    note(atMs, 'leftOff', leftOff, { delayMs: untilClosedMs + closedMs })
    const { times, withinMs } = limits.flickering
    const often = (falls: readonly number[], nearMs: number): boolean =>
      falls.filter((ms) => atMs - ms <= withinMs + nearMs).length >= times
    const flickers = often(past.seenFallsMs, -slackMs) ? 2 : often(past.fallsMs, withinMs + slackMs) ? 1 : 0
    note(atMs, 'powerFlickering', flickers)
  }
  const noteCap = (m: MachineNow, atMs: number, said: Said): 'known' | 'maybe' | 'no' => {
    const { off, fell } = past
    const fallen = off || atMs - past.onMs < HOMED_AFTER
    const handOff = !m.capped && m.state === 'standby'
    const suspected = handOff || (off && !m.capped) || (fallen && fell !== 'resting')
    const sure = said.uncapped || (off && fell === 'printing' && whenSeen(2, atMs) === 2)
    note(atMs, 'offItsCap', sure ? 2 : suspected ? 1 : 0, {
      delayMs: said.uncapped ? 0 : limits.powerOff.uncappedMs,
    })
    return sure ? 'known' : suspected ? 'maybe' : 'no'
  }
  const noteWork = (m: MachineNow, atMs: number, said: Said): void => {
    const intervals = (atMs - past.workedMs) / HOUR / w.machine.cleaningEveryH
    const due = limits.notCleaningIntervals
    const late: Level = past.off || intervals < due * 0.85 ? 0 : intervals > due * 1.08 ? 2 : 1
    const recognised = w.seesCleanings && said.loggedCleanings >= SURELY_RECOGNISED
    note(atMs, 'notCleaning', whenSeen(late, atMs, recognised))
    const idleMs = atMs - past.printedMs
    const idle = idleMs > limits.idleMs + HOUR / 2 ? 2 : idleMs > limits.idleMs - HOUR ? 1 : 0
    note(atMs, 'idleTooLong', whenSeen(idle, atMs), { subject: `channelGroup:${id}-white` })
    const error = m.state === 'off' ? undefined : during(errors, atMs)
    const level = error ? whenSeen(standsBetween(w.machine, error.value ?? 0) ? 2 : 1, atMs) : 0
    note(atMs, 'stoppedOnError', during(brownouts, atMs) ? 1 : level, { delayMs: BETWEEN_BANDS })
  }

  return (now: ShopNow, said: Said): void => {
    const m = now.machines.get(id)
    if (!m) return
    follow(m, now.atMs)
    notePower(now.atMs)
    const uncapped = noteCap(m, now.atMs, said)
    noteWork(m, now.atMs, said)
    dose(now, m, uncapped)
  }
}

/** Well clear of what it draws at rest, cleaning and printing, where bands can be told apart at all. */
function standsBetween({ standbyW, cleaningW, printingW, heaterW }: MachinePlan, watts: number): boolean {
  if (heaterW > 0) return false
  const clear = (level: number): boolean => watts < level * 0.85 || watts > level * 1.15
  return (
    clear(standbyW * 1.35) &&
    clear(standbyW) &&
    clear(cleaningW) &&
    clear(cleaningW * 1.12) &&
    clear(printingW)
  )
}
