import type { HistoryBand, HistoryGrid, MachineHistory } from '../../model/history-view.ts'
import { MACHINE_DOINGS, QUARTER_MS, type MachineQuarter } from '../../model/quarter.ts'
import { emptyBand, placeIn } from './grid.ts'

/** A quarter belongs to the stretch in which it lies; its end is the beginning of the next. */
function placeOf(quarter: MachineQuarter, grid: HistoryGrid): number {
  return placeIn(grid, quarter.endMs - QUARTER_MS)
}

/** Doses of an ink. What lies between two quarters is not known: a print within one shows as its lower end. */
export function doseBand(
  quarters: readonly MachineQuarter[],
  channelGroupId: string,
  grid: HistoryGrid,
): HistoryBand {
  const band = emptyBand(grid)
  const counts = grid.startsMs.map(() => 0)
  for (const quarter of quarters) {
    const at = placeOf(quarter, grid)
    const dose = quarter.inks.find((i) => i.channelGroupId === channelGroupId)?.doseKpaH
    if (dose === undefined || at < 0 || at >= counts.length) continue
    const n = (counts[at] = (counts[at] ?? 0) + 1)
    band.low[at] = Math.min(band.low[at] ?? Infinity, dose)
    band.high[at] = Math.max(band.high[at] ?? -Infinity, dose)
    band.mean[at] = ((band.mean[at] ?? 0) * (n - 1) + dose) / n
  }
  return band
}

export function workOf(
  quarters: readonly MachineQuarter[],
  grid: HistoryGrid,
): Pick<MachineHistory, 'shares' | 'cleanings' | 'uncappedS'> {
  const none = (): (number | null)[] => grid.startsMs.map(() => null)
  const seconds = new Map(MACHINE_DOINGS.map((doing) => [doing, none()]))
  const [watched, cleanings, uncappedS] = [none(), none(), none()]
  const add = (to: (number | null)[], at: number, amount: number): void => {
    to[at] = (to[at] ?? 0) + amount
  }
  for (const quarter of quarters) {
    const at = placeOf(quarter, grid)
    if (at < 0 || at >= watched.length) continue
    add(cleanings, at, quarter.cleanings)
    add(uncappedS, at, quarter.uncappedS)
    for (const doing of MACHINE_DOINGS) {
      add(watched, at, quarter.seconds[doing] ?? 0)
      add(seconds.get(doing) ?? [], at, quarter.seconds[doing] ?? 0)
    }
  }
  const shareOf = (list: readonly (number | null)[]): (number | null)[] =>
    list.map((s, at) => (s === null || !watched[at] ? null : s / watched[at]))
  const shares: MachineHistory['shares'] = {}
  for (const [doing, list] of seconds) if (list.some((s) => s)) shares[doing] = shareOf(list)
  return { shares, cleanings, uncappedS }
}
