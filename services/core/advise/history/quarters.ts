import type { HistoryBand, HistoryGrid, MachineHistory } from '../../model/history-view.ts'
import type { MachineStretch } from '../../model/machine-stretch.ts'
import { MACHINE_DOINGS } from '../../model/quarter.ts'
import { emptyBand, placeIn } from './grid.ts'

/** Doses of an ink. What lies between two quarters is not known: a print within one shows as its lower end. */
export function doseBand(
  stretches: readonly MachineStretch[],
  channelGroupId: string,
  grid: HistoryGrid,
): HistoryBand {
  const band = emptyBand(grid)
  for (const { startMs, inks } of stretches) {
    const at = placeIn(grid, startMs)
    const ink = inks.find((i) => i.channelGroupId === channelGroupId)
    if (!ink || at < 0 || at >= band.low.length) continue
    band.low[at] = ink.low
    band.mean[at] = ink.sum / ink.n
    band.high[at] = ink.high
    band.last[at] = ink.last
  }
  return band
}

/** What the machine did, of stretches as wide as those of the grid. */
export function workOf(
  stretches: readonly MachineStretch[],
  grid: HistoryGrid,
): Pick<MachineHistory, 'shares' | 'cleanings' | 'uncappedS'> {
  const none = (): (number | null)[] => grid.startsMs.map(() => null)
  const [cleanings, uncappedS] = [none(), none()]
  const shares: MachineHistory['shares'] = {}
  for (const stretch of stretches) {
    const at = placeIn(grid, stretch.startMs)
    if (at < 0 || at >= cleanings.length) continue
    cleanings[at] = stretch.cleanings
    uncappedS[at] = stretch.uncappedS
    const watchedS = MACHINE_DOINGS.reduce((sum, doing) => sum + (stretch.seconds[doing] ?? 0), 0)
    if (watchedS === 0) continue
    for (const doing of MACHINE_DOINGS) {
      const s = stretch.seconds[doing] ?? 0
      if (s > 0) (shares[doing] ??= none())[at] = s / watchedS
    }
  }
  fillWatched(shares, grid)
  return { shares, cleanings, uncappedS }
}

/** Where the machine was watched at all, a state it was not in has a share of 0. */
function fillWatched(shares: MachineHistory['shares'], grid: HistoryGrid): void {
  const lists = Object.values(shares)
  grid.startsMs.forEach((_, at) => {
    if (lists.every((list) => list[at] == null)) return
    for (const list of lists) list[at] = Math.round((list[at] ?? 0) * 10_000) / 10_000
  })
}
