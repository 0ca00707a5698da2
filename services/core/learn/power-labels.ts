import { ckmeans } from 'simple-statistics'
import type { Cluster } from './power-clusters.ts'
import { ascending, quantileOf, type PowerSample } from './power-segments.ts'
import { staysOf, usualOf, type Stay } from './power-stays.ts'

/** The past of one machine's meter. */
export interface PowerPast {
  readonly machineId: string
  /** One minute each, or the like, oldest first. At least three days; two weeks and more are better. */
  readonly samples: readonly PowerSample[]
  /** The told off limit, in W. */
  readonly offBelowW: number
  readonly isOpenAt: (atMs: number) => boolean
  /** Lengths are known to a whole sample only. */
  readonly coarse?: boolean
}

/** Which of the levels is what. */
export interface Labels {
  readonly standby: Cluster
  readonly cleaning: { readonly cluster: Cluster; readonly stays: readonly Stay[] } | null
  /** Printing begins at this level, and whatever lies above belongs to it: a heater, for instance. */
  readonly printing: { readonly cluster: Cluster; readonly stays: readonly Stay[] } | null
  /** Why there is no cleaning, when something comes at its level that is too much like one. */
  readonly unlike: 'pulsesLikeCleanings' | 'twoLengths' | null
}

const MINUTE_MS = 60_000
/** What a cleaning is: longer than a pulse, shorter than a print, and it comes again. Starting values, no source. */
const CLEANING_MS = [75_000, 12 * MINUTE_MS] as const
const CLEANINGS_APART_MS = 45 * MINUTE_MS
const LEAST_STAYS = 5
/** Spread over median: lengths, and times from one to the next. Starting values, no source. */
const SAME_LENGTH = 0.3
const SAME_INTERVAL = 0.25
/** Stays between a pulse's and a cleaning's length, against cleanings: more would make counting a guess. */
const MOST_BLURRED = 0.2
/** Lengths of which the next is longer by this factor are of another kind. A starting value. */
const TWO_KINDS = 1.25
/** One length shows as two that are a sample apart, give or take what the ends say. A starting value. */
const ONE_SAMPLE = 1.1
/** So many of the intervals are like the usual one where one clock drives them all. A starting value. */
const BY_ONE_CLOCK = 0.8
/** A print lasts at least this long, and most of the printing falls into open hours. Starting values, no source. */
const PRINT_MS = 4 * MINUTE_MS
const OPEN_SHARE = 0.7

/**
 * LABEL-1 standby is where the machine is most of its time on while the shop is closed (of all its time, if it never is).
 * LABEL-2 a cleaning stands above standby, lasts minutes, much the same each time, and comes again at a much the same
 *         interval; what is shorter, or comes more than once in 45 min, is a heater, a fan or a stirrer.
 * LABEL-3 printing stands above standby, lasts longer, and falls mostly into open hours.
 * LABEL-4 lengths that differ by one sample are one length when what has them comes by one clock: a meter that reports
 *         every two minutes sees five minutes now as four and now as six.
 * LABEL-5 what comes regularly in closed hours does so by itself: no band of printing begins at its level.
 */
export function labelsOf(past: PowerPast, clusters: readonly Cluster[], sampleMs: number): Labels | null {
  const standby = standbyOf(past, clusters)
  if (!standby) return null
  const rest = { restW: Math.exp((standby.lowLog + standby.highLog) / 2), sampleMs }
  const above = clusters.filter((c) => c.lowLog > standby.highLog)
  const judged = above.map((cluster) => ({ cluster, ...judgeCleaning(past, cluster, rest) }))
  const cleanings = judged.filter((j) => j.verdict === 'cleaning')
  // A cleaning may have two levels: the one it is longer at counts.
  const cleaning = cleanings.sort((a, b) => totalMs(b.stays) - totalMs(a.stays))[0] ?? null
  const others = above.filter((c) => c !== cleaning?.cluster)
  return {
    standby,
    cleaning: cleaning && { cluster: cleaning.cluster, stays: cleaning.stays },
    printing: printingOf(past, others, { ...rest, cleaning: cleaning?.cluster ?? null }),
    unlike: cleaning ? null : likenessOf(judged.map((j) => j.verdict)),
  }
}

function likenessOf(verdicts: readonly Verdict[]): Labels['unlike'] {
  if (verdicts.includes('twoLengths')) return 'twoLengths'
  return verdicts.includes('blurred') ? 'pulsesLikeCleanings' : null
}

interface Rest {
  readonly restW: number
  readonly sampleMs: number
}

function standbyOf({ samples, isOpenAt }: PowerPast, clusters: readonly Cluster[]): Cluster | null {
  const counts = (onlyClosed: boolean) =>
    clusters.map((cluster) => {
      const [lowW, highW] = [Math.exp(cluster.lowLog) * 0.94, Math.exp(cluster.highLog) * 1.06]
      const within = samples.filter((s) => s.meanW >= lowW && s.meanW <= highW)
      return { cluster, count: onlyClosed ? within.filter((s) => !isOpenAt(s.atMs)).length : within.length }
    })
  for (const onlyClosed of [true, false]) {
    const [most] = counts(onlyClosed).sort((a, b) => b.count - a.count)
    if (most && most.count > 0) return most.cluster
  }
  return null
}

type Verdict = 'cleaning' | 'blurred' | 'twoLengths' | 'other'

function judgeCleaning(past: PowerPast, cluster: Cluster, rest: Rest): { verdict: Verdict; stays: Stay[] } {
  const all = staysOf(past.samples, cluster, rest).filter((s) => s.amidRest)
  const possible = all.filter((s) => s.durationMs >= CLEANING_MS[0] && s.durationMs <= CLEANING_MS[1])
  const length = usualOf(possible.map((s) => s.durationMs))
  if (!length || length.madMs > SAME_LENGTH * length.medianMs) return { verdict: 'other', stays: possible }
  const { medianMs } = length
  const stays = possible.filter((s) => s.durationMs >= medianMs / 2 && s.durationMs <= medianMs * 2)
  if (stays.length < LEAST_STAYS || !isRegular(stays, past)) return { verdict: 'other', stays }
  const shorter = all.filter((s) => s.durationMs >= medianMs / 2 && s.durationMs < CLEANING_MS[0])
  const longer = all.filter((s) => s.durationMs > medianMs * 2)
  const strangers = shorter.length + longer.length
  if (strangers > MOST_BLURRED * stays.length) return { verdict: 'blurred', stays }
  const twoLengths = !past.coarse && areOfTwoKinds(stays, past, rest.sampleMs)
  return { verdict: twoLengths ? 'twoLengths' : 'cleaning', stays }
}

function isRegular(stays: readonly Stay[], past: PowerPast): boolean {
  const interval = usualOf(intervalsOf(stays, past))
  if (!interval || interval.count < LEAST_STAYS - 1 || interval.medianMs < CLEANINGS_APART_MS) return false
  return interval.madMs <= SAME_INTERVAL * interval.medianMs
}

/** Do the lengths fall into two groups with a gap between? Then only one of them is cleaning, and nobody knows which. */
function areOfTwoKinds(stays: readonly Stay[], past: PowerPast, sampleMs: number): boolean {
  const lengths = stays.map((s) => s.durationMs)
  if (new Set(lengths).size < 2) return false
  const [short = [], long = []] = ckmeans(lengths, 2)
  if (Math.min(short.length, long.length) < LEAST_STAYS) return false
  const sorted = [short, long].map((kind) => [...kind].sort(ascending))
  const [shortMs, longMs] = [quantileOf(sorted[0] ?? [], 0.9), quantileOf(sorted[1] ?? [], 0.1)]
  if (longMs <= TWO_KINDS * shortMs) return false
  return longMs - shortMs > ONE_SAMPLE * sampleMs || !comeByOneClock(stays, past)
}

function comeByOneClock(stays: readonly Stay[], past: PowerPast): boolean {
  const intervals = intervalsOf(stays, past)
  const interval = usualOf(intervals)
  if (!interval) return false
  const alike = intervals.filter(
    (ms) => Math.abs(ms - interval.medianMs) <= SAME_INTERVAL * interval.medianMs,
  )
  return alike.length >= BY_ONE_CLOCK * intervals.length
}

/** Times from one stay to the next within one closed stretch, where nothing puts a cleaning off; else all of them. */
function intervalsOf(stays: readonly Stay[], past: PowerPast): number[] {
  const closed = closedIntervalsOf(stays, past)
  return closed.length >= LEAST_STAYS - 1
    ? closed
    : stays.slice(1).map((s, i) => s.fromMs - (stays[i]?.fromMs ?? 0))
}

function closedIntervalsOf(stays: readonly Stay[], { isOpenAt }: PowerPast): number[] {
  return stays
    .slice(1)
    .map((stay, i) => ({ fromMs: stays[i]?.fromMs ?? 0, toMs: stay.fromMs }))
    .filter(({ fromMs, toMs }) =>
      [0, 0.25, 0.5, 0.75, 1].every((p) => !isOpenAt(fromMs + p * (toMs - fromMs))),
    )
    .map(({ fromMs, toMs }) => toMs - fromMs)
}

function printingOf(
  past: PowerPast,
  clusters: readonly Cluster[],
  { cleaning, ...rest }: Rest & { cleaning: Cluster | null },
): Labels['printing'] {
  for (const cluster of clusters) {
    const ceilingLog = cleaning && cleaning.lowLog > cluster.highLog ? cleaning.lowLog : Infinity
    const all = staysOf(past.samples, { lowLog: cluster.lowLog, highLog: ceilingLog }, rest)
    const stays = all.filter((s) => s.durationMs >= PRINT_MS)
    // What is at this level only for moments is a pulse, though prints stand above it.
    const own = staysOf(past.samples, cluster, rest)
    const within = own.filter((o) => stays.some((s) => o.fromIndex >= s.fromIndex && o.toIndex <= s.toIndex))
    if (stays.length < LEAST_STAYS || totalMs(within) < totalMs(own) / 2) continue
    if (comesByItself(own, past)) continue
    const open = stays.filter((s) => past.isOpenAt(s.fromMs + s.durationMs / 2))
    if (totalMs(open) >= OPEN_SHARE * totalMs(stays)) return { cluster, stays }
  }
  return null
}

/** Several times within a closed stretch, one like the other: once a day may be somebody who comes early. */
function comesByItself(stays: readonly Stay[], past: PowerPast): boolean {
  const minutes = stays.filter((s) => s.amidRest && s.durationMs >= CLEANING_MS[0])
  return closedIntervalsOf(minutes, past).length >= LEAST_STAYS - 1 && isRegular(minutes, past)
}

function totalMs(stays: readonly Stay[]): number {
  return stays.reduce((sum, s) => sum + s.durationMs, 0)
}
