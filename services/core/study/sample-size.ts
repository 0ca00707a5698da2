import { chiSquareQuantile } from '../statistics/chi-square.ts'
import { mustBeCount, mustBeFinite } from '../statistics/check.ts'

export interface Observed {
  /** Nights that count, clogs among them, and nights on the harmful side of the limit. */
  readonly nights: number
  readonly clogs: number
  readonly exposedNights: number
}

const Z_TWO_SIDED = Math.sqrt(chiSquareQuantile(0.95, 1))
/** The normal deviate that 80 % lie below: the chi-square of 60 % of one degree. */
const Z_POWER = Math.sqrt(chiSquareQuantile(0.6, 1))

/**
 * How many nights like these, in all, it takes to see a doubling of the clogs on exposed nights in four of five such
 * studies, tested two-sided at 5 % (Fleiss, Levin and Paik 2003, formula 4.14, without the continuity correction). It
 * takes nights to be independent, which they are not: the true number is rather higher, so say "about".
 *
 * @returns null where no number can be told: no nights, or all on one side. Without a clog half a clog is taken.
 * @throws {RangeError} if a count is none.
 */
export function nightsToSeeDoubling({ nights, clogs, exposedNights }: Observed): number | null {
  mustBeCount('nights', nights)
  mustBeCount('clogs', clogs)
  mustBeCount('exposedNights', exposedNights)
  const exposed = exposedNights / nights
  if (!(exposed > 0 && exposed < 1)) return null
  const share = Math.max(clogs, 0.5) / nights
  const rest = share / (1 + exposed)
  const doubled = Math.min(0.99, 2 * rest)
  const pooled = exposed * doubled + (1 - exposed) * rest
  const spread =
    Z_TWO_SIDED * Math.sqrt((pooled * (1 - pooled)) / (exposed * (1 - exposed))) +
    Z_POWER * Math.sqrt((doubled * (1 - doubled)) / exposed + (rest * (1 - rest)) / (1 - exposed))
  return Math.ceil((spread / (doubled - rest)) ** 2)
}

/** The sentence on how many more nights it would take; empty where no number can be told. */
export function moreNightsText(observed: Observed): string {
  const all = nightsToSeeDoubling(observed)
  if (all === null) return ''
  const more = all - observed.nights
  if (more <= 0)
    return 'A doubling would probably have been seen in this many nights; less than that might not.'
  return `About ${roundedUp(more)} more nights with a check would be needed to see a doubling.`
}

/** Two digits are more than such a figure has. @throws {RangeError} if `count` is no number. */
function roundedUp(count: number): number {
  mustBeFinite('count', count)
  const step = 10 ** Math.max(0, Math.floor(Math.log10(count)) - 1)
  return Math.ceil(count / step) * step
}
