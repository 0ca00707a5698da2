import { affectedMachines } from '../../assess/affected-machines.ts'
import type { Condition, Episode } from '../../model/episode.ts'
import type { RerunClog } from '../../model/rerun.ts'
import type { Settings } from '../../model/settings.ts'
import { MOST_UNCHECKED_NIGHTS, outcomesOf, type NozzleCheck } from '../clogs.ts'
import { OF_THE_INK } from '../of-the-ink.ts'
import { placeChecks, type CheckMaterial } from '../shop-series.ts'
import type { WokenNight } from './gather.ts'

const DAY_MS = 86_400_000

/** The checks of a channel group since it has its head, oldest first. */
export interface GroupChecks {
  readonly machineId: string
  readonly channelGroupId: string
  readonly checks: readonly NozzleCheck[]
}

/** Every channel group that was checked, its checks placed among the shop's nights as Causes does (`placeChecks`). */
export function groupChecks(material: CheckMaterial): readonly GroupChecks[] {
  const { placed, names } = placeChecks(material)
  return [...names].map(([id, { machineId, channelGroupId }]) => ({
    machineId,
    channelGroupId,
    checks: placed.filter((c) => c.channelGroupId === id).sort((a, b) => a.atMs - b.atMs),
  }))
}

export interface FoundClog extends Pick<RerunClog, 'machineId' | 'channelGroupId' | 'checkedMs'> {
  /** The check before it, after which it must have come. */
  readonly sinceMs: number
}

/** New clogs found within the period, by the rules of Causes (CLOG-1 to CLOG-8), oldest first. */
export function clogsFound(
  series: readonly GroupChecks[],
  { fromMs, toMs }: { fromMs: number; toMs: number },
): readonly FoundClog[] {
  return series
    .flatMap(({ machineId, channelGroupId, checks }) =>
      outcomesOf(checks)
        .filter((o) => o.isClog && o.checkedMs >= fromMs && o.checkedMs < toMs)
        .map(({ checkedMs }) => {
          const before = checks.findLast((c) => c.atMs < checkedMs)
          return { machineId, channelGroupId, checkedMs, sinceMs: before?.atMs ?? checkedMs }
        }),
    )
    .sort((a, b) => a.checkedMs - b.checkedMs || (a.channelGroupId < b.channelGroupId ? -1 : 1))
}

/**
 * WARN-1 a clog was warned of when, between the check before and the check that found it, a condition was sure that
 *        concerns its machine, or this very channel group. The warning counts from when it was sure, or from the check
 *        before where it stood already.
 * WARN-2 told apart: a warning by what the tried limit decides, and one by anything about dryness, air or power.
 */
export function warnedOf(
  clog: FoundClog,
  episodes: readonly Episode[],
  { decides, settings }: { decides: readonly Condition[]; settings: Settings },
): RerunClog {
  const before = episodes
    .filter((e) => e.openedMs < clog.checkedMs && (e.closedMs ?? Infinity) > clog.sinceMs)
    .filter((e) => concernsClog(e, clog, settings))
    .sort((a, b) => a.openedMs - b.openedMs)
  const own = before.find((e) => decides.includes(e.condition))
  const any = before.find((e) => OF_THE_INK.has(e.condition))
  const sinceMs = (e: Episode | undefined): number | null => (e ? Math.max(e.openedMs, clog.sinceMs) : null)
  const { machineId, channelGroupId, checkedMs } = clog
  return {
    machineId,
    channelGroupId,
    checkedMs,
    warnedMs: sinceMs(own),
    warnedBy: own?.condition ?? null,
    anyWarnedMs: sinceMs(any),
  }
}

function concernsClog(
  { subject }: Episode,
  { machineId, channelGroupId }: FoundClog,
  settings: Settings,
): boolean {
  if (subject.kind === 'channelGroup') return subject.id === channelGroupId
  return affectedMachines(subject, settings).some((m) => m.id === machineId)
}

/**
 * What became of the heads after a woken night.
 *
 * WOKEN-1 `beforeClog` when the next check of one of the machines that the call was about found a new clog.
 * WOKEN-2 `forNothing` when there was such a check, within three nights, and none of them found one. Somebody who got
 *         up may have saved the head: no record can tell that.
 * WOKEN-3 `unclear` when there was no such check, or the call was about a bottle or the mains. A clear check after a
 *         cleaning, or while the night goes on, is none: it does not say what the night would have done.
 */
export function judgeNight(
  { firstMs, machineIds }: WokenNight,
  series: readonly GroupChecks[],
): 'beforeClog' | 'forNothing' | 'unclear' {
  const lastMs = firstMs + (MOST_UNCHECKED_NIGHTS + 1) * DAY_MS
  let isChecked = false
  for (const { machineId, checks } of series) {
    const at = checks.findIndex((c) => c.atMs > firstMs)
    const next = checks[at]
    if (!next || !machineIds.has(machineId) || next.atMs > lastMs) continue
    if (next.missingNozzles > 0 && checks[at - 1]?.missingNozzles === 0) return 'beforeClog'
    if (next.tellsOnlyState !== true) isChecked = true
  }
  return isChecked ? 'forNothing' : 'unclear'
}
