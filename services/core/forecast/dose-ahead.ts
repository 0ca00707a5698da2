import { vapourPressureDeficitKpa } from '../physics/air.ts'
import { bandOf, probabilityOf, quantile, type BandPoint } from './quantile.ts'
import type { RoomForecast } from './room-paths.ts'

const HOUR_MS = 3_600_000

/** From `fromMs` on the dose grows by deficit x `factor`; before the first, by deficit x the first factor. */
export interface ExposureSpan {
  readonly fromMs: number
  readonly factor: number
}

/** A wetting that is expected; it leaves the share `keeps` (0 to 1) of the dose. */
export interface ExpectedWetting {
  readonly atMs: number
  readonly keeps: number
}

export interface DoseQuestion {
  readonly atMs: readonly number[]
  /** One a path: `deficitPathsKpa`. */
  readonly deficitsKpa: readonly (readonly number[])[]
  /** The dose at the first of `atMs`, kPa h. */
  readonly doseKpaH: number
  readonly limitKpaH: number
  /** What the sensors of the room make every dose err, as a share of it: a standard deviation. Default 0. */
  readonly errorShare?: number
  /** In order of time; at least one. */
  readonly exposure: readonly ExposureSpan[]
  /** In any order; those outside the grid are not looked at. */
  readonly wettings?: readonly ExpectedWetting[]
}

export interface DoseAhead {
  /**
   * When 10, 50 and 90 % of the paths have passed the limit, the outer two as wide as the sensors may err; null: not
   * before the end of the grid.
   */
  readonly passesLimit: {
    readonly earliestMs: number | null
    readonly likelyMs: number | null
    readonly latestMs: number | null
  }
  /** That the limit is passed before the end of the grid, 0 to 1; 1 only when it is passed already. */
  readonly probability: number
  /** The dose in kPa h. At the time of a wetting it is the dose just after. */
  readonly band: BandPoint[]
}

/** Vapour pressure deficit along each path of a room, kPa: worked out once and used for all inks in the room. */
export function deficitPathsKpa({ paths }: Pick<RoomForecast, 'paths'>): number[][] {
  return paths.map(({ temperatureC, humidityPct }) =>
    humidityPct.map((humidity, at) =>
      vapourPressureDeficitKpa({ humidityPct: humidity, temperatureC: temperatureC[at] ?? NaN }),
    ),
  )
}

/**
 * The drying dose along each path: dose now + integral of deficit x exposure factor over hours, less what expected
 * wettings take away.
 *
 * AHEAD-1 between two points of the grid the deficit runs straight; a change of exposure or a wetting within counts from
 *         its own time.
 * AHEAD-2 the first passing counts: a wetting after it takes nothing back.
 * AHEAD-3 a dose that stands at its limit or above has passed it now, on every path.
 * AHEAD-4 the probability is (k + 0.5) / (n + 1) for k of n paths, so that no number of nights makes it certain.
 * AHEAD-5 what the sensors err has been in the dose from its beginning, so it acts like a limit that is lower or higher.
 *         The earliest and the latest time take each path with three limits, whose spread is that of the error; the
 *         likely time and the probability are of the air alone.
 * Without an error a single path (persistence) gives one time three times; show its basis.
 *
 * @throws {RangeError} if there is no path, no exposure or the grid has less than two points.
 */
export function doseAhead(question: DoseQuestion): DoseAhead {
  const { atMs, deficitsKpa, limitKpaH } = question
  if (deficitsKpa.length === 0 || atMs.length < 2)
    throw new RangeError('doseAhead needs a path and two points')
  const knots = knotsOf(question)
  const passings = new Float64Array(deficitsKpa.length)
  const doses = deficitsKpa.map((deficits, k) => {
    const dose = new Float64Array(atMs.length)
    passings[k] = runPath(knots, deficits, question.doseKpaH, limitKpaH, dose)
    return dose
  })
  const widened = withError(question, knots, passings)
  passings.sort()
  const count = passings.findIndex((at) => at === Infinity)
  const passed = count === -1 ? passings.length : count
  return {
    passesLimit: {
      earliestMs: timeOf(quantile(widened, 0.1)),
      likelyMs: timeOf(quantile(passings, 0.5)),
      latestMs: timeOf(quantile(widened, 0.9)),
    },
    probability: question.doseKpaH >= limitKpaH ? 1 : probabilityOf(passed, passings.length),
    band: bandOf(atMs, doses),
  }
}

/** Three equal parts at 0 and at this many standard deviations to either side spread as a normal error does. */
const OUTER_SIGMAS = Math.sqrt(1.5)

/** The passings of all paths, sorted, and those with the limit as low and as high as the sensors' error makes it (AHEAD-5). */
function withError(
  { deficitsKpa, doseKpaH, limitKpaH, errorShare = 0 }: DoseQuestion,
  knots: readonly Knot[],
  passings: Float64Array,
): Float64Array {
  if (errorShare === 0 || doseKpaH >= limitKpaH) return passings.toSorted()
  const unused = new Float64Array(knots.length)
  const outer = [-1, 1].flatMap((sign) => {
    const limit = limitKpaH / Math.max(0.1, 1 + sign * OUTER_SIGMAS * errorShare)
    return deficitsKpa.map((deficits) => runPath(knots, deficits, doseKpaH, limit, unused))
  })
  return new Float64Array([...passings, ...outer]).sort()
}

function timeOf(quantileMs: number): number | null {
  return Number.isFinite(quantileMs) ? Math.round(quantileMs) : null
}

/** A time at which something happens: a point of the grid, a change of exposure, a wetting. */
interface Knot {
  readonly atMs: number
  /** The point of the grid at or before it, and how far it stands towards the next, 0 to 1. */
  readonly index: number
  readonly part: number
  readonly onGrid: boolean
  /** Hours to the next knot, times the exposure factor that holds until then. */
  readonly weightH: number
  /** What is left of the dose from here on. */
  readonly keeps: number
}

function knotsOf({ atMs, exposure, wettings = [] }: DoseQuestion): Knot[] {
  const firstMs = atMs[0] ?? NaN
  const lastMs = atMs.at(-1) ?? NaN
  const within = (at: number) => at >= firstMs && at <= lastMs
  const inner = [...exposure.map((e) => e.fromMs), ...wettings.map((w) => w.atMs)].filter(within)
  const times = [...new Set([...atMs, ...inner])].sort((a, b) => a - b)
  let index = 0
  return times.map((at, k) => {
    while (index < atMs.length - 1 && (atMs[index + 1] ?? NaN) <= at) index++
    const fromMs = atMs[index] ?? at
    const untilMs = atMs[index + 1] ?? fromMs
    const nextMs = times[k + 1] ?? at
    return {
      atMs: at,
      index,
      part: at === fromMs ? 0 : (at - fromMs) / (untilMs - fromMs),
      onGrid: at === fromMs,
      weightH: (factorAt(exposure, at) * (nextMs - at)) / HOUR_MS,
      keeps: wettings.reduce((left, w) => (w.atMs === at ? left * w.keeps : left), 1),
    }
  })
}

function factorAt(exposure: readonly ExposureSpan[], atMs: number): number {
  const span = exposure.findLast((e) => e.fromMs <= atMs) ?? exposure[0]
  if (!span) throw new RangeError('exposure needs at least one span')
  return span.factor
}

/** Fills `dose` on the grid and gives when the limit was first passed, or Infinity. */
function runPath(
  knots: readonly Knot[],
  deficits: readonly number[],
  doseKpaH: number,
  limitKpaH: number,
  dose: Float64Array,
): number {
  let value = doseKpaH
  let passedMs = Infinity
  for (let k = 0; k < knots.length; k++) {
    const knot = knots[k]
    if (!knot) break
    if (value >= limitKpaH && passedMs === Infinity) passedMs = knot.atMs
    value *= knot.keeps
    if (knot.onGrid) dose[knot.index] = value
    const next = knots[k + 1]
    if (!next) break
    const grown = value + (knot.weightH * (deficitAt(knot, deficits) + deficitAt(next, deficits))) / 2
    if (grown >= limitKpaH && passedMs === Infinity) {
      const share = grown > value ? (limitKpaH - value) / (grown - value) : 0
      passedMs = knot.atMs + Math.max(0, share) * (next.atMs - knot.atMs)
    }
    value = grown
  }
  return passedMs
}

function deficitAt({ index, part }: Knot, deficits: readonly number[]): number {
  const here = deficits[index] ?? NaN
  return part === 0 ? here : here + part * ((deficits[index + 1] ?? NaN) - here)
}
