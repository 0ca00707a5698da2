import type { CheckReason } from '../model/act.ts'
import type { StoredNight } from '../model/night-exposure.ts'
import { sortedChecks, type NozzleCheck, type SortedChecks } from './clogs.ts'
import { joinNights, type Series } from './nights.ts'
import type { ShopNight } from './shop-nights.ts'

const HOUR_MS = 3_600_000
const DAY_MS = 24 * HOUR_MS
/** A check that is made so shortly before opening belongs to the night that is about to end. Starting value. */
export const BEFORE_OPENING_MS = 2 * HOUR_MS

/** Of a shop without hours nobody knows when it opens: from midnight on a check belongs to the night that ends at noon. */
const BEFORE_NOON_MS = 12 * HOUR_MS

/** A nozzle check of the logbook, as far as Causes needs it. */
export interface LoggedCheck {
  readonly machineId: string
  readonly checkedMs: number
  readonly reason: CheckReason
  /** A channel group of the machine that is not named was clear. */
  readonly missing: readonly { readonly channelGroupId: string; readonly missingNozzles: number }[]
}

/** A head was changed for another. */
export interface LoggedHeadChange {
  readonly headId: string
  readonly changedMs: number
}

/** Whose nights a series holds. */
export interface SeriesName {
  readonly machineId: string
  readonly headId: string
  readonly channelGroupId: string
  /** When this head came, or null for the first that was watched. */
  readonly sinceMs: number | null
}

export interface ShopSeries extends SortedChecks {
  readonly series: readonly Series[]
  /** By the channel group id of the series. */
  readonly names: ReadonlyMap<string, SeriesName>
  readonly checks: number
  readonly onSuspicion: number
}

export interface CheckMaterial {
  readonly shopNights: readonly ShopNight[]
  /** In any order. */
  readonly checks: readonly LoggedCheck[]
  readonly headChanges: readonly LoggedHeadChange[]
}

export interface ShopSeriesMaterial extends CheckMaterial {
  readonly nights: readonly StoredNight[]
}

/** Checks of channel groups, each with its night, and the series to which they belong. */
export interface PlacedChecks {
  readonly placed: readonly NozzleCheck[]
  /** By the channel group id of the series, which is another for each head. */
  readonly names: ReadonlyMap<string, SeriesName>
  /** The series of a channel group at a time. */
  readonly seriesId: (name: Omit<SeriesName, 'sinceMs'>, atMs: number) => string
}

/** Checks as Causes takes them, by the rules SERIES-1 to SERIES-5. */
export function placeChecks({ shopNights, checks, headChanges }: CheckMaterial): PlacedChecks {
  const changesOf = changesByHead(headChanges)
  const names = new Map<string, SeriesName>()
  const seriesId: PlacedChecks['seriesId'] = (name, atMs) => {
    const changes = (changesOf.get(name.headId) ?? []).filter((changedMs) => changedMs <= atMs)
    const id = changes.length === 0 ? name.channelGroupId : `${name.channelGroupId} ${changes.length}`
    if (!names.has(id)) names.set(id, { ...name, sinceMs: changes.at(-1) ?? null })
    return id
  }
  return { placed: checks.flatMap((check) => placedChecks(check, shopNights, seriesId)), names, seriesId }
}

/**
 * The nights of the shop's channel groups with what the checks after them said.
 *
 * SERIES-1 a check belongs to the last night before it that was over, or that ends within two hours: who is in early
 *          checks before opening. In a shop without hours, that ends within twelve hours.
 * SERIES-2 a check in the middle of a closed time, and one made after a cleaning, only tells whether the nozzles were
 *          clear: of the one the night is not over, and the other tells of the cleaning.
 * SERIES-3 `baseline` and `routine` are checks of any night; one on suspicion counts too and is counted out beside them.
 * SERIES-4 a head that was changed starts its series anew: nothing is known of it until its first check, and its nights
 *          are compared among themselves. The night in which it was changed is the old one's.
 * SERIES-5 a check of the day before the first night that a shop or a machine has says how that night began.
 */
export function shopSeries({ nights, ...material }: ShopSeriesMaterial): ShopSeries {
  const { placed, names, seriesId } = placeChecks(material)
  const exposures = nights.map((night) => {
    const { machineId, headId, channelGroupId } = night
    return { ...night, channelGroupId: seriesId({ machineId, headId, channelGroupId }, night.fromMs) }
  })
  const sorted = sortedChecks(placed)
  return {
    ...sorted,
    series: joinNights(exposures, sorted.outcomes),
    names,
    checks: placed.length,
    onSuspicion: placed.filter((c) => c.why === 'suspicion').length,
  }
}

function changesByHead(headChanges: readonly LoggedHeadChange[]): ReadonlyMap<string, number[]> {
  const byHead = new Map<string, number[]>()
  for (const { headId, changedMs } of headChanges) {
    const own = byHead.get(headId)
    if (own) own.push(changedMs)
    else byHead.set(headId, [changedMs])
  }
  for (const own of byHead.values()) own.sort((a, b) => a - b)
  return byHead
}

function placedChecks(
  { machineId, checkedMs, reason, missing }: LoggedCheck,
  shopNights: readonly ShopNight[],
  seriesId: PlacedChecks['seriesId'],
): NozzleCheck[] {
  const place = lastNightBefore(shopNights, checkedMs)
  const [night, next] = [shopNights[place], shopNights[place + 1]]
  const nightOf = (night ?? next)?.nightOf
  if (nightOf === undefined || (!night && checkedMs < (next?.fromMs ?? 0) - DAY_MS)) return []
  const isInNight =
    next !== undefined && !isWithoutHours(next) && checkedMs > next.fromMs && checkedMs < next.toMs
  return groupsIn(machineId, [night, next]).map(({ headId, id }) => ({
    channelGroupId: seriesId({ machineId, headId, channelGroupId: id }, checkedMs),
    nightOf,
    atMs: checkedMs,
    missingNozzles: missing.find((m) => m.channelGroupId === id)?.missingNozzles ?? 0,
    why: reason === 'suspicion' ? ('suspicion' as const) : ('routine' as const),
    tellsOnlyState: isInNight || reason === 'afterCleaning',
    place,
  }))
}

/** Channel groups of a machine as they were set in any of these nights. */
function groupsIn(
  machineId: string,
  nights: readonly (ShopNight | undefined)[],
): readonly { readonly headId: string; readonly id: string }[] {
  const heads = nights.flatMap((n) => n?.settings.machines.find((m) => m.id === machineId)?.heads ?? [])
  const groups = heads.flatMap((head) => head.channelGroups.map(({ id }) => [id, head.id] as const))
  return [...new Map(groups)].map(([id, headId]) => ({ headId, id }))
}

/** By halving: nights are in order and do not overlap. -1 where there is none. */
function lastNightBefore(nights: readonly ShopNight[], atMs: number): number {
  let [low, high] = [0, nights.length]
  while (low < high) {
    const middle = (low + high) >> 1
    if (countsFromMs(nights[middle]) <= atMs) low = middle + 1
    else high = middle
  }
  return low - 1
}

function countsFromMs(night: ShopNight | undefined): number {
  if (!night) return Infinity
  return night.toMs - (isWithoutHours(night) ? BEFORE_NOON_MS : BEFORE_OPENING_MS)
}

function isWithoutHours({ settings }: ShopNight): boolean {
  return settings.hours.weekly.length === 0
}
