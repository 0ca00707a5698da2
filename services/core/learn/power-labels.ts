import type { Cluster } from './power-clusters.ts'
import type { PowerSample } from './power-segments.ts'
import { staysOf, usualOf, type Stay } from './power-stays.ts'

/** The past of one machine's meter. */
export interface PowerPast {
  readonly machineId: string
  /** One minute each, or the like, oldest first. At least three days; two weeks and more are better. */
  readonly samples: readonly PowerSample[]
  /** The told off limit, in W. */
  readonly offBelowW: number
  readonly isOpenAt: (atMs: number) => boolean
}

/** Which of the levels is what. */
export interface Labels {
  readonly standby: Cluster
  readonly cleaning: { readonly cluster: Cluster; readonly stays: readonly Stay[] } | null
  /** Printing begins at this level, and whatever lies above belongs to it: a heater, for instance. */
  readonly printing: { readonly cluster: Cluster; readonly stays: readonly Stay[] } | null
  /** Something comes at the level of a cleaning whose length parts it from a cleaning too little. */
  readonly blurred: boolean
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
/** A print lasts at least this long, and most of the printing falls into open hours. Starting values, no source. */
const PRINT_MS = 4 * MINUTE_MS
const OPEN_SHARE = 0.7

/**
 * LABEL-1 standby is where the machine is most of its time on while the shop is closed (of all its time, if it never is).
 * LABEL-2 a cleaning stands above standby, lasts minutes, much the same each time, and comes again at a much the same
 *         interval; what is shorter, or comes more than once in 45 min, is a heater, a fan or a stirrer.
 * LABEL-3 printing stands above standby and cleaning, lasts longer, and falls mostly into open hours.
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
  const overCleaning = above.filter((c) => !cleaning || c.lowLog > cleaning.cluster.highLog)
  return {
    standby,
    cleaning: cleaning && { cluster: cleaning.cluster, stays: cleaning.stays },
    printing: printingOf(past, overCleaning, rest),
    blurred: !cleaning && judged.some((j) => j.verdict === 'blurred'),
  }
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

function judgeCleaning(past: PowerPast, cluster: Cluster, rest: Rest) {
  const all = staysOf(past.samples, cluster, rest).filter((s) => s.amidRest)
  const stays = all.filter((s) => s.durationMs >= CLEANING_MS[0] && s.durationMs <= CLEANING_MS[1])
  const length = usualOf(stays.map((s) => s.durationMs))
  if (!length || stays.length < LEAST_STAYS || length.madMs > SAME_LENGTH * length.medianMs) {
    return { verdict: 'other', stays } as const
  }
  const interval = usualOf(intervalsOf(stays, past))
  const regular =
    interval !== null &&
    interval.count >= LEAST_STAYS - 1 &&
    interval.medianMs >= CLEANINGS_APART_MS &&
    interval.madMs <= SAME_INTERVAL * interval.medianMs
  const near = all.filter(
    (s) => s.durationMs >= 0.5 * length.medianMs && s.durationMs < CLEANING_MS[0],
  ).length
  const blurred = near > MOST_BLURRED * stays.length
  if (!regular) return { verdict: blurred ? 'blurred' : 'other', stays } as const
  return { verdict: blurred ? 'blurred' : 'cleaning', stays } as const
}

/** Times from one stay to the next within one closed stretch, where nothing puts a cleaning off; else all of them. */
function intervalsOf(stays: readonly Stay[], { isOpenAt }: PowerPast): number[] {
  const pairs = stays.slice(1).map((stay, i) => ({ fromMs: stays[i]?.fromMs ?? 0, toMs: stay.fromMs }))
  const closed = pairs.filter(({ fromMs, toMs }) =>
    [0, 0.25, 0.5, 0.75, 1].every((p) => !isOpenAt(fromMs + p * (toMs - fromMs))),
  )
  const used = closed.length >= LEAST_STAYS - 1 ? closed : pairs
  return used.map(({ fromMs, toMs }) => toMs - fromMs)
}

function printingOf(past: PowerPast, clusters: readonly Cluster[], rest: Rest): Labels['printing'] {
  for (const cluster of clusters) {
    const all = staysOf(past.samples, { lowLog: cluster.lowLog, highLog: Infinity }, rest)
    const stays = all.filter((s) => s.durationMs >= PRINT_MS)
    if (stays.length < LEAST_STAYS || totalMs(stays) < totalMs(all) / 2) continue
    const open = stays.filter((s) => past.isOpenAt(s.fromMs + s.durationMs / 2))
    if (totalMs(open) >= OPEN_SHARE * totalMs(stays)) return { cluster, stays }
  }
  return null
}

function totalMs(stays: readonly Stay[]): number {
  return stays.reduce((sum, s) => sum + s.durationMs, 0)
}
