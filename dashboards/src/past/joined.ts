import type { HistoryGrid } from '../../../services/core/model/history-view.ts'

/**
 * Values of a line as they are drawn: `null` breaks it, `undefined` is passed over.
 *
 * GAP-1 a silence longer than `quietMs` breaks the line; nothing is drawn through it.
 * GAP-2 within it stretches without a reading are no gap: a sensor that speaks each minute has nothing to say in most
 * seconds.
 */
export function joined(
  values: readonly (number | null)[],
  { widthMs }: Pick<HistoryGrid, 'widthMs'>,
  quietMs: number,
): (number | null | undefined)[] {
  const most = Math.floor(quietMs / widthMs)
  const drawn: (number | null | undefined)[] = [...values]
  let lastAt = -1
  for (let at = 0; at < values.length; at++) {
    if (values[at] === null) continue
    // Between two starts that lie `at - lastAt` widths apart.
    if (lastAt >= 0 && at - lastAt > 1 && at - lastAt <= most) drawn.fill(undefined, lastAt + 1, at)
    lastAt = at
  }
  return drawn
}

/** GAP-3 a value between two gaps has no line to stand in: it is drawn as a point. Gives where such values are. */
export function isolatedIn(drawn: readonly (number | null | undefined)[]): number[] {
  const isolated: number[] = []
  let run: number[] = []
  const end = (): void => {
    if (run.length === 1) isolated.push(...run)
    run = []
  }
  drawn.forEach((value, at) => {
    if (value === null) end()
    else if (value !== undefined) run.push(at)
  })
  end()
  return isolated
}
