import { EXPOSURES } from '../model/night-exposure.ts'
import { EXPOSURE_KINDS } from './exposure.ts'
import { dateOf } from './row-view.ts'
import type { ShopSeries } from './shop-series.ts'

/** A number is written as one; null is an empty cell. */
export type TableCell = string | number | null

/**
 * Every night of every channel group with its exposures and its outcome, as rows of a table with a head, for tools of
 * one's own. What is not known is empty, never 0; `outcome` is clog, clear, or empty where no check tells.
 */
export function nightsTable({ series, names }: ShopSeries): TableCell[][] {
  const head = [
    'night_of',
    'machine',
    'head',
    'channel_group',
    'head_since',
    ...EXPOSURES.map((e) => `${e} (${EXPOSURE_KINDS[e].unit})`),
    'outcome',
    'acted_upon',
  ]
  const rows = series.flatMap((s) => {
    const name = names.get(s.channelGroupId)
    return Array.from(s.days, (day, i) => [
      dateOf(day),
      name?.machineId ?? '',
      s.headId,
      name?.channelGroupId ?? s.channelGroupId,
      name?.sinceMs == null ? null : new Date(name.sinceMs).toISOString(),
      ...EXPOSURES.map((e) => known(s.exposures[e][i])),
      s.outcomes[i] === 1 ? 'clog' : s.outcomes[i] === 0 ? 'clear' : null,
      s.actedUpon[i] === 1 ? 'yes' : 'no',
    ])
  })
  return [head, ...rows]
}

function known(value: number | undefined): number | null {
  return value === undefined || Number.isNaN(value) ? null : value
}
