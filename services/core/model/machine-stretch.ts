import { QUARTER_MS, type MachineDoing, type MachineQuarter } from './quarter.ts'

/** Dose of an ink over a stretch, from its values at the ends of quarters, kPa h. */
export interface StretchInk {
  readonly channelGroupId: string
  /** How many quarters noted it. */
  readonly n: number
  readonly low: number
  readonly sum: number
  readonly high: number
  readonly last: number
}

/** Quarters of a machine as one: what a chart of months is drawn from. */
export interface MachineStretch {
  readonly startMs: number
  /** Seconds in each state. */
  readonly seconds: Readonly<Partial<Record<MachineDoing, number>>>
  readonly cleanings: number
  readonly uncappedS: number
  readonly inks: readonly StretchInk[]
}

/** A quarter belongs to the stretch in which it lies; its end is the beginning of the next. */
export function stretchOfQuarter(quarter: MachineQuarter): MachineStretch {
  return {
    startMs: quarter.endMs - QUARTER_MS,
    seconds: quarter.seconds,
    cleanings: quarter.cleanings,
    uncappedS: quarter.uncappedS,
    inks: quarter.inks.map(({ channelGroupId, doseKpaH: dose }) => ({
      channelGroupId,
      n: 1,
      low: dose,
      sum: dose,
      high: dose,
      last: dose,
    })),
  }
}

/**
 * Stretches of `widthMs` from multiples of it on, out of narrower ones, oldest first. A stretch without any is left out.
 *
 * STRETCH-1 seconds, cleanings and time off the cap add up; a dose keeps its lowest, its highest and its last.
 */
export function stretchesOf(parts: Iterable<MachineStretch>, widthMs: number): MachineStretch[] {
  const found: MachineStretch[] = []
  for (const part of parts) {
    const startMs = Math.floor(part.startMs / widthMs) * widthMs
    const before = found.at(-1)
    if (before?.startMs === startMs) found[found.length - 1] = joined(before, part)
    else found.push({ ...part, startMs })
  }
  return found
}

function joined(a: MachineStretch, b: MachineStretch): MachineStretch {
  const seconds: Partial<Record<MachineDoing, number>> = { ...a.seconds }
  for (const [doing, s] of Object.entries(b.seconds) as [MachineDoing, number][]) {
    seconds[doing] = (seconds[doing] ?? 0) + s
  }
  return {
    startMs: a.startMs,
    seconds,
    cleanings: a.cleanings + b.cleanings,
    uncappedS: a.uncappedS + b.uncappedS,
    inks: joinedInks(a.inks, b.inks),
  }
}

function joinedInks(a: readonly StretchInk[], b: readonly StretchInk[]): StretchInk[] {
  const before = new Map(a.map((ink) => [ink.channelGroupId, ink]))
  for (const ink of b) {
    const own = before.get(ink.channelGroupId)
    before.set(
      ink.channelGroupId,
      own
        ? {
            channelGroupId: ink.channelGroupId,
            n: own.n + ink.n,
            low: Math.min(own.low, ink.low),
            sum: own.sum + ink.sum,
            high: Math.max(own.high, ink.high),
            last: ink.last,
          }
        : ink,
    )
  }
  return [...before.values()]
}
