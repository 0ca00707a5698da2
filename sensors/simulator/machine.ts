import type { OpeningCalendar, Span } from '../../services/core/model/opening-hours.ts'
import type { Chance } from './chance.ts'
import type { MachinePlan } from './plan-kinds.ts'

export const MACHINE_STATES = ['off', 'starting', 'standby', 'cleaning', 'printing'] as const
export type MachineState = (typeof MACHINE_STATES)[number]

export interface MachineStep {
  readonly state: MachineState
  readonly powerW: number
  readonly capped: boolean
  /** Ink that ran into the waste during the step. */
  readonly wasteMl: number
  /** Share of the step spent printing, and whether a cleaning ended in it: both wet the nozzles. */
  readonly printingShare: number
  readonly cleaned: boolean
}

/** What is wrong with a machine that has power. */
export interface MachineTrouble {
  /** A hand left its head off the cap. */
  readonly headLeftOff: boolean
  /** It does not clean itself. */
  readonly cleaningOff: boolean
  /** Stopped on an error, it draws so much; null: it runs. */
  readonly errorW: number | null
  readonly idle: boolean
  /** Of the power that it usually draws, at low voltage. */
  readonly powerShare: number
}

export interface SimulatedMachine {
  /** Lives through (fromMs, toMs] with power or without it. */
  readonly step: (span: Span, powered: boolean, trouble?: MachineTrouble) => MachineStep
}

export const NO_TROUBLE: MachineTrouble = {
  headLeftOff: false,
  cleaningOff: false,
  errorW: null,
  idle: false,
  powerShare: 1,
}
const NO_JOBS: readonly Span[] = []

const MINUTE = 60_000
const HOUR = 60 * MINUTE
const DAY = 24 * HOUR
const STARTING = 90_000
/** Of a machine whose plan does not say how long it cleans. */
const CLEANING = 180_000
/** What a plug-in meter says of a machine that is off: a little noise, never below zero. */
const OFF_METER_W = 0.3
const METER_NOISE = 0.012

/**
 * A machine: prints jobs while the shop is open, cleans its heads every few hours while it has power, and rests
 * capped in between. Power that falls while it prints leaves the head uncapped until it has started again.
 */
export function createMachine(
  plan: MachinePlan,
  chance: Chance,
  calendar: OpeningCalendar,
  startMs: number,
): SimulatedMachine {
  const jobsAround = createJobs(plan, chance, calendar, startMs)
  const noise = chance.stream(`meter/${plan.id}`)
  const cleaningMs = plan.cleaningMs ?? CLEANING
  let state: MachineState = 'standby'
  let capped = true
  let headLeftOff = false
  let startedMs = startMs - STARTING
  let cleaningFromMs = startMs + chance.stream(`cleaning/${plan.id}`).at(0) * plan.cleaningEveryH * HOUR

  const live = (
    { fromMs, toMs }: Span,
    trouble: MachineTrouble,
  ): Pick<MachineStep, 'wasteMl' | 'printingShare' | 'cleaned'> => {
    const readyMs = startedMs + STARTING
    const stopped = trouble.errorW !== null || trouble.headLeftOff
    const jobs = trouble.idle || stopped ? NO_JOBS : jobsAround(toMs)
    // What it may not begin now it begins when it may.
    if (stopped || trouble.cleaningOff) cleaningFromMs = Math.max(cleaningFromMs, toMs + 1)
    const printingMs = jobs.reduce(
      (sum, j) => sum + overlapMs(j, { fromMs: Math.max(fromMs, readyMs), toMs }),
      0,
    )
    // A cleaning that falls due during a job waits for its end.
    const busy = jobs.find((j) => cleaningFromMs >= j.fromMs && cleaningFromMs < j.toMs)
    if (busy) cleaningFromMs = busy.toMs
    const cleaned = cleaningFromMs + cleaningMs <= toMs
    const printing = jobs.some((j) => toMs >= j.fromMs && toMs < j.toMs)
    if (toMs < readyMs) state = 'starting'
    else if (toMs >= cleaningFromMs && !cleaned) state = 'cleaning'
    else state = printing ? 'printing' : 'standby'
    if (cleaned) cleaningFromMs += cleaningMs + plan.cleaningEveryH * HOUR
    capped = state === 'standby' && !trouble.headLeftOff
    const wasteMl = (printingMs / HOUR) * plan.printingMlPerH + (cleaned ? plan.cleaningMl : 0)
    return { wasteMl, printingShare: printingMs / (toMs - fromMs), cleaned }
  }

  return {
    step: (span, powered, trouble = NO_TROUBLE) => {
      // A machine without power keeps its head where it was, until a hand moves it.
      if (trouble.headLeftOff !== headLeftOff) capped = !trouble.headLeftOff
      headLeftOff = trouble.headLeftOff
      if (!powered) {
        state = 'off'
        return {
          state,
          capped,
          powerW: OFF_METER_W * noise.at(span.toMs),
          wasteMl: 0,
          printingShare: 0,
          cleaned: false,
        }
      }
      if (state === 'off') {
        startedMs = span.toMs
        cleaningFromMs = startedMs + STARTING
      }
      const lived = live(span, trouble)
      const usualW = drawnW(plan, state, span.toMs)
      const cleanW = (trouble.errorW ?? usualW) * trouble.powerShare
      return {
        state,
        capped,
        powerW: Math.max(0, cleanW * (1 + METER_NOISE * noise.normalAt(span.toMs))),
        ...lived,
      }
    },
  }
}

/** Power at an instant: a level for each state, with a heater that pulses while printing and a stirrer at rest. */
function drawnW(plan: MachinePlan, state: MachineState, atMs: number): number {
  const pulse = (periodMs: number, onMs: number): number => (atMs % periodMs < onMs ? 1 : 0)
  switch (state) {
    case 'off':
      return 0
    case 'starting':
      return plan.standbyW * 1.9
    case 'standby':
      return plan.standbyW + pulse(15 * MINUTE, MINUTE) * plan.standbyW * 0.35
    case 'cleaning':
      return plan.cleaningW * (1 + 0.12 * pulse(40_000, 15_000))
    case 'printing':
      return plan.printingW + pulse(190_000, 50_000) * plan.heaterW
  }
}

/** Jobs of the open span that touches an instant: drawn once a span, from the span's own beginning. */
function createJobs(plan: MachinePlan, chance: Chance, calendar: OpeningCalendar, startMs: number) {
  const stream = chance.stream(`jobs/${plan.id}`)
  let span: Span = { fromMs: -Infinity, toMs: startMs - 8 * DAY }
  let jobs: readonly Span[] = []

  return (atMs: number): readonly Span[] => {
    while (atMs >= span.toMs) {
      span = nextOpenSpan(calendar, span.toMs)
      jobs = Number.isFinite(span.toMs)
        ? drawJobs(span, plan, stream.sequence(Math.floor(span.fromMs / MINUTE)))
        : []
    }
    return jobs
  }
}

function nextOpenSpan(calendar: OpeningCalendar, afterMs: number): Span {
  const fromMs = calendar.nextOpeningAfter(afterMs) ?? Infinity
  return { fromMs, toMs: (Number.isFinite(fromMs) ? calendar.nextChangeAfter(fromMs) : null) ?? Infinity }
}

function drawJobs(span: Span, plan: MachinePlan, draw: () => number): readonly Span[] {
  const jobs: Span[] = []
  let fromMs = span.fromMs + (12 + 35 * draw()) * MINUTE
  for (;;) {
    const toMs = fromMs + (8 + 50 * draw() ** 1.5) * MINUTE
    if (toMs > span.toMs - 12 * MINUTE) return jobs
    jobs.push({ fromMs: Math.round(fromMs), toMs: Math.round(toMs) })
    fromMs = toMs - Math.log(1 - draw()) * plan.pauseMin * MINUTE + 3 * MINUTE
  }
}

function overlapMs(a: Span, b: Span): number {
  return Math.max(0, Math.min(a.toMs, b.toMs) - Math.max(a.fromMs, b.fromMs))
}
