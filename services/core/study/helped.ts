import type { CareEntry, Helped, JudgedCare, NozzleCheck } from '../model/log-entry.ts'

/** A check before a cleaning tells of it when it is no older. Starting value. */
export const CHECK_BEFORE_MS = 24 * 3_600_000
/** A check after a cleaning tells of it when it comes no later. Starting value. */
export const CHECK_AFTER_MS = 4 * 3_600_000

interface Around {
  /** Checks that count, in any order; those of other machines are passed over. */
  readonly checks: readonly NozzleCheck[]
  /** Cleanings that count, in any order, this one among them or not. */
  readonly cares: readonly CareEntry[]
}

/**
 * Did a cleaning help?
 *
 * HELPED-1 what a person says holds, whatever the checks say.
 * HELPED-2 else the last check within 24 h before it and the first within 4 h after it are compared, over the channel
 *          groups that were cleaned: fewer missing is yes; as many, or more, is no.
 * HELPED-3 unknown where one of the two is missing, and where nothing was missing before.
 * HELPED-4 unknown where another cleaning of one of these channel groups lies between the two: which of them helped?
 * HELPED-5 stirred white is no cleaning: it neither helps in this sense nor stands between.
 */
export function helpedOf(care: CareEntry, { checks, cares }: Around): Helped {
  if (care.helpedSaid !== null) return care.helpedSaid
  if (care.care === 'whiteStirred') return 'unknown'
  const own = checks.filter((c) => c.machineId === care.machineId)
  const before = last(own.filter((c) => isWithin(c.checkedMs, care.doneMs - CHECK_BEFORE_MS, care.doneMs)))
  const after = first(
    own.filter((c) => c !== before && isWithin(c.checkedMs, care.doneMs, care.doneMs + CHECK_AFTER_MS)),
  )
  if (!before || !after) return 'unknown'
  const between = cares.filter(
    (c) => c.careId !== care.careId && isWithin(c.doneMs, before.checkedMs, after.checkedMs),
  )
  if (between.some((c) => cleansTheSame(c, care))) return 'unknown'
  const missingBefore = missingOf(before, care)
  if (missingBefore === 0) return 'unknown'
  return missingOf(after, care) < missingBefore ? 'yes' : 'no'
}

/** Each cleaning with whether it helped. Of ten years of checks each looks only at those around it. */
export function judgeCares(cares: readonly CareEntry[], around: Around): readonly JudgedCare[] {
  const checksNear = nearIn(around.checks, (c) => c.checkedMs)
  const caresNear = nearIn(around.cares, (c) => c.doneMs)
  return cares.map((care) => {
    const near = { checks: checksNear(care), cares: caresNear(care) }
    return { ...care, helped: helpedOf(care, near) }
  })
}

/** Finds those of a machine that lie in the time around a cleaning; in no other may anything be that matters to it. */
function nearIn<T extends { readonly machineId: string }>(
  all: readonly T[],
  timeOf: (one: T) => number,
): (care: CareEntry) => readonly T[] {
  const byMachine = new Map<string, T[]>()
  for (const one of all) {
    const own = byMachine.get(one.machineId) ?? []
    if (own.length === 0) byMachine.set(one.machineId, own)
    own.push(one)
  }
  for (const own of byMachine.values()) own.sort((a, b) => timeOf(a) - timeOf(b))
  return ({ machineId, doneMs }) => {
    const own = byMachine.get(machineId) ?? []
    const from = firstAt(own, doneMs - CHECK_BEFORE_MS, timeOf)
    return own.slice(from, firstAt(own, doneMs + CHECK_AFTER_MS + 1, timeOf))
  }
}

/** The place of the first at or after a time, in a list in order of time. */
function firstAt<T>(own: readonly T[], atMs: number, timeOf: (one: T) => number): number {
  let low = 0
  let high = own.length
  while (low < high) {
    const middle = (low + high) >> 1
    const one = own[middle]
    if (one !== undefined && timeOf(one) < atMs) low = middle + 1
    else high = middle
  }
  return low
}

function isWithin(atMs: number, fromMs: number, toMs: number): boolean {
  return atMs >= fromMs && atMs <= toMs
}

function last(checks: readonly NozzleCheck[]): NozzleCheck | undefined {
  return checks.reduce<NozzleCheck | undefined>((a, b) => (a && a.checkedMs > b.checkedMs ? a : b), undefined)
}

function first(checks: readonly NozzleCheck[]): NozzleCheck | undefined {
  return checks.reduce<NozzleCheck | undefined>(
    (a, b) => (a && a.checkedMs <= b.checkedMs ? a : b),
    undefined,
  )
}

function cleansTheSame(a: CareEntry, b: CareEntry): boolean {
  if (a.machineId !== b.machineId || a.care === 'whiteStirred') return false
  const isAll = a.channelGroupIds.length === 0 || b.channelGroupIds.length === 0
  return isAll || a.channelGroupIds.some((id) => b.channelGroupIds.includes(id))
}

function missingOf({ missing }: NozzleCheck, { channelGroupIds }: CareEntry): number {
  const meant = missing.filter(
    (m) => channelGroupIds.length === 0 || channelGroupIds.includes(m.channelGroupId),
  )
  return meant.reduce((sum, m) => sum + m.missingNozzles, 0)
}
