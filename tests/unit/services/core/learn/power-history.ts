import {
  HOUR,
  metered,
  MINUTE,
  minuteSamples,
  START,
  type Draw,
  type Load,
} from '../track/metered-machine.ts'

const DAY = 24 * HOUR

/** An invented machine over some weeks. All numbers are W, s, min or h as they say. */
export interface HistoryPlan {
  readonly days: number
  readonly intervalMs?: number
  readonly standbyW?: number
  readonly cleaningW?: number
  readonly printingW?: number
  /** Seconds, drawn evenly between. */
  readonly cleaningS?: readonly [number, number]
  readonly cleaningEveryH?: number
  /** Watts on top, on for so many seconds of each period of so many seconds, in which states. */
  readonly pulses?: readonly {
    readonly addW: number
    readonly onS: number
    readonly everyS: number
    readonly states: readonly ('standby' | 'cleaning' | 'printing')[]
  }[]
  readonly noise?: number
  readonly seed?: number
  /** Prints while open, unless false. */
  readonly prints?: boolean
}

export interface History {
  readonly draws: readonly Draw[]
  readonly samples: ReturnType<typeof minuteSamples>
  readonly cleanings: readonly { readonly fromMs: number; readonly toMs: number }[]
}

/** Open from 8 to 18, Monday to Friday. */
export function isOpenAt(atMs: number): boolean {
  const day = Math.floor((atMs - START) / DAY) % 7
  const hour = ((atMs - START) % DAY) / HOUR
  return day < 5 && hour >= 8 && hour < 18
}

/** A fixed sequence of numbers from 0 to 1 (the mulberry32 generator, public domain). */
export function sequence(seed: number): () => number {
  let a = seed
  return () => {
    a = (a + 0x6d2b79f5) | 0
    let t = Math.imul(a ^ (a >>> 15), 1 | a)
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
}

/** A machine that prints in open hours, and cleans itself whenever it is due and not printing. */
export function history(plan: HistoryPlan): History {
  const { days, intervalMs = 10_000, seed = 1, prints = true, noise = 0.015 } = plan
  const next = sequence(seed)
  const toMs = START + days * DAY
  const jobs = prints ? jobsOf(days, next) : []
  const cleanings = cleaningsOf(plan, jobs, toMs, next)
  const load = loadOf(plan, jobs, cleanings)
  const noisy = sequence(seed + 1)
  const draws = metered(load, toMs, intervalMs).map(([atMs, w]): Draw => [
    atMs,
    Math.round(w * (1 + noise * 2 * (noisy() + noisy() - 1)) * 10) / 10,
  ])
  return { draws, samples: minuteSamples(draws), cleanings }
}

interface Stretch {
  readonly fromMs: number
  readonly toMs: number
}

function jobsOf(days: number, next: () => number): Stretch[] {
  const jobs: Stretch[] = []
  for (let day = 0; day < days; day++) {
    let fromMs = START + day * DAY + 8 * HOUR + 20 * MINUTE
    while (isOpenAt(fromMs)) {
      const toMs = fromMs + (6 + 40 * next()) * MINUTE
      if (!isOpenAt(toMs)) break
      jobs.push({ fromMs, toMs })
      fromMs = toMs + (5 + 40 * next()) * MINUTE
    }
  }
  return jobs
}

function cleaningsOf(
  plan: HistoryPlan,
  jobs: readonly Stretch[],
  toMs: number,
  next: () => number,
): Stretch[] {
  const { cleaningEveryH = 4, cleaningS = [180, 180] } = plan
  const cleanings: Stretch[] = []
  let fromMs = START + next() * cleaningEveryH * HOUR
  while (fromMs < toMs) {
    const lastsMs = (cleaningS[0] + (cleaningS[1] - cleaningS[0]) * next()) * 1000
    const busy = jobs.find((j) => fromMs < j.toMs + 2 * MINUTE && fromMs + lastsMs + 2 * MINUTE > j.fromMs)
    if (busy) fromMs = busy.toMs + 3 * MINUTE
    else {
      cleanings.push({ fromMs, toMs: fromMs + lastsMs })
      fromMs += lastsMs + cleaningEveryH * HOUR
    }
  }
  return cleanings
}

function loadOf(plan: HistoryPlan, jobs: readonly Stretch[], cleanings: readonly Stretch[]): Load {
  const { standbyW = 48, cleaningW = 112, printingW = 185, pulses = [] } = plan
  let job = 0
  let cleaning = 0
  return (atMs) => {
    // Means are taken a minute back at most, so what ended two minutes ago is over.
    while ((jobs[job]?.toMs ?? Infinity) < atMs - 2 * MINUTE) job++
    while ((cleanings[cleaning]?.toMs ?? Infinity) < atMs - 2 * MINUTE) cleaning++
    const at = (s: Stretch | undefined) => s !== undefined && atMs > s.fromMs && atMs <= s.toMs
    const printing = at(jobs[job]) || at(jobs[job + 1])
    const state = printing
      ? 'printing'
      : at(cleanings[cleaning]) || at(cleanings[cleaning + 1])
        ? 'cleaning'
        : 'standby'
    const baseW = { standby: standbyW, cleaning: cleaningW, printing: printingW }[state]
    const on = pulses.filter(
      (p) => p.states.includes(state) && (atMs - START) % (p.everyS * 1000) < p.onS * 1000,
    )
    return on.reduce((sum, p) => sum + p.addW, baseW)
  }
}
