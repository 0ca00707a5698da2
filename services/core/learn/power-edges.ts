import type { Labels, PowerPast } from './power-labels.ts'
import { ascending, quantileOf, type PowerSample } from './power-segments.ts'
import type { Stay } from './power-stays.ts'

/** A level as its readings, not its averages, span it, in W, and how far its flanks reach, in logarithms. */
export interface Reach {
  readonly lowW: number
  readonly highW: number
  readonly lowFlank: number
  readonly highFlank: number
}

export interface Reaches {
  readonly standby: Reach
  readonly cleaning: Reach | null
  readonly printing: Reach | null
}

/** A band reaches this much beyond what was seen, yet never over the middle of the gap to its neighbour. */
const MARGIN = 1.1
/**
 * The share of readings at either end that may be something else: of a cleaning's few samples, some lie half over its
 * ends.
 */
const FEW = 0.1
const MANY = 0.02
/** No flank is taken as sharper than this. */
const LEAST_FLANK = 0.02

/** What the readings of each labelled level span. Samples over the ends of a stay are averages, and left out. */
export function reachesOf(past: PowerPast, { standby, cleaning, printing }: Labels): Reaches {
  const { samples } = past
  const cleaningReach = cleaning && reachOf(steadiest(innerOf(samples, cleaning.stays)), FEW)
  const printingReach = printing && reachOf(innerOf(samples, printing.stays), MANY)
  const nextW = Math.min(cleaningReach?.lowW ?? Infinity, printingReach?.lowW ?? Infinity)
  const restW = Math.exp(standby.highLog)
  // At rest it may pulse: a stirrer, a fan. What reaches into the next band by half is none of it.
  const ceilingW = Number.isFinite(nextW) ? Math.sqrt(restW * nextW) : restW * 1.5
  const atRest = samples.filter((s) => s.meanW >= past.offBelowW && s.maxW <= ceilingW && s.meanW <= ceilingW)
  return { standby: reachOf(atRest, MANY) ?? flat(restW), cleaning: cleaningReach, printing: printingReach }
}

export function inOrderOf({ standby, cleaning, printing }: Reaches): Reach[] {
  return [standby, cleaning, printing].filter((r) => r !== null).sort((a, b) => a.lowW - b.lowW)
}

/** Bands with their margins, neighbours parted in the middle of their gap. */
export function bandsOf({ standby, cleaning, printing }: Reaches) {
  const inOrder = inOrderOf({ standby, cleaning, printing })
  const bandOf = (reach: Reach | null): [number, number] | null => {
    if (!reach) return null
    const at = inOrder.indexOf(reach)
    const below = inOrder[at - 1]
    const above = inOrder[at + 1]
    const floorW = below ? Math.sqrt(below.highW * reach.lowW) : 0
    const ceilingW = above ? Math.sqrt(reach.highW * above.lowW) : Infinity
    return [round(Math.max(reach.lowW / MARGIN, floorW)), round(Math.min(reach.highW * MARGIN, ceilingW))]
  }
  return { standbyW: bandOf(standby), cleaningW: bandOf(cleaning), printingW: bandOf(printing) }
}

/** Gap of two neighbours, lower first, and that gap over the flanks that face each other; logarithms. */
export function gapOf(lower: Reach, upper: Reach): { gap: number; separation: number } {
  const gap = Math.log(upper.lowW / lower.highW)
  return { gap, separation: Math.max(0, gap) / (lower.highFlank + upper.lowFlank) }
}

function reachOf(samples: readonly PowerSample[], tail: number): Reach | null {
  if (samples.length === 0) return null
  const lows = samples.map((s) => s.minW).sort(ascending)
  const highs = samples.map((s) => s.maxW).sort(ascending)
  const [lowW, highW] = [quantileOf(lows, tail), quantileOf(highs, 1 - tail)]
  return {
    lowW,
    highW,
    lowFlank: Math.max(LEAST_FLANK, Math.log(quantileOf(lows, 0.25) / lowW)),
    highFlank: Math.max(LEAST_FLANK, Math.log(highW / quantileOf(highs, 0.75))),
  }
}

function flat(levelW: number): Reach {
  return { lowW: levelW, highW: levelW, lowFlank: LEAST_FLANK, highFlank: LEAST_FLANK }
}

/** The samples of stays without those over their ends; of a stay too short for that, all. */
function innerOf(samples: readonly PowerSample[], stays: readonly Stay[]): PowerSample[] {
  return stays.flatMap(({ fromIndex, toIndex }) => {
    const own = samples.slice(fromIndex, toIndex)
    return own.length > 3 ? own.slice(1, -1) : own
  })
}

/** Samples whose readings differ no more than is usual among them: those that lie over an end differ more. */
function steadiest(samples: readonly PowerSample[]): PowerSample[] {
  const spreads = samples.map((s) => Math.log(s.maxW / s.minW))
  if (spreads.length === 0) return []
  const mostSpread = 1.5 * quantileOf([...spreads].sort(ascending), 0.5) + LEAST_FLANK
  return samples.filter((_, i) => (spreads[i] ?? Infinity) <= mostSpread)
}

function round(powerW: number): number {
  return Math.round(powerW * 10) / 10
}
