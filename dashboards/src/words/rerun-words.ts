import type { LimitChoice, RerunOutcome, RerunView } from '../../../services/core/model/rerun.ts'

const MINUTE_MS = 60_000
const HOUR_MS = 3_600_000
const DAY_MS = 86_400_000
/** A mean month. */
const MONTH_MS = 30.44 * DAY_MS

type Scale = Pick<LimitChoice, 'per' | 'unit'>

/** A value of the settings in the unit in which people think of it. */
export function inUnit(value: number, { per }: Scale): number {
  return Number((value / per).toPrecision(8))
}

/** And back, as the settings hold it. */
export function fromUnit(shown: number, { per }: Scale): number {
  const value = Number((shown * per).toPrecision(12))
  return per >= 1000 ? Math.round(value) : value
}

export function unitWord({ unit }: Scale): string {
  return unit === 'degC' ? '°C' : unit
}

export function valueText(value: number, scale: Scale): string {
  return `${inUnit(value, scale)} ${unitWord(scale)}`
}

/** `about 4 min`: how long it will still take, no finer than it can be known. */
export function leftText(leftMs: number | null): string {
  if (leftMs === null) return 'How long it takes will be known in a moment'
  if (leftMs < MINUTE_MS) return 'Less than a minute left'
  if (leftMs < 2 * HOUR_MS) return `About ${Math.ceil(leftMs / MINUTE_MS)} min left`
  return `About ${Math.round(leftMs / HOUR_MS)} h left`
}

export function leadText(ms: number | null): string {
  if (ms === null) return 'none'
  return ms < 2 * HOUR_MS ? `${Math.round(ms / MINUTE_MS)} min` : `${Math.round(ms / HOUR_MS)} h`
}

/** How often in a mean month: with one digit after the point below ten. */
export function aMonth(count: number, { order }: Pick<RerunView, 'order'>): string {
  const rate = (count * MONTH_MS) / Math.max(DAY_MS, order.toMs - order.fromMs)
  return rate === 0 || rate >= 10 ? String(Math.round(rate)) : rate.toFixed(1)
}

export function warnedCount({ clogs }: RerunOutcome): number {
  return clogs.filter((c) => c.warnedMs !== null).length
}

/** What the curve counts against the clogs: calls at night where the limit can wake somebody, else nights with the trouble. */
export function costOf(outcome: RerunOutcome, { wakes }: LimitChoice): number {
  return wakes ? outcome.nightsWoken : outcome.nightsHeld
}

export function costWords({ wakes }: LimitChoice): string {
  return wakes ? 'Nights somebody is called' : 'Nights with this trouble'
}

/** The gist in a sentence: what the tried value would have brought, and cost. */
export function gistText({ choice, outcomes }: RerunView): string {
  const [today, tried] = outcomes
  if (!today || !tried) return ''
  const warned = compare(warnedCount(tried), warnedCount(today))
  const cost = compare(costOf(tried, choice), costOf(today, choice))
  const clogs = tried.clogs.length
  const counted = choice.wakes ? 'nights on which somebody is called' : 'nights with this trouble'
  const ofClogs = clogs === 0 ? 'No clog was found in this period' : `Clogs warned of: ${warned}, of ${clogs}`
  return `${ofClogs}. ${counted[0]?.toUpperCase()}${counted.slice(1)}: ${cost}.`
}

function compare(tried: number, today: number): string {
  return tried === today ? `${tried}, as today` : `${tried} instead of ${today}`
}
