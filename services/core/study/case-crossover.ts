import type { NoFit } from '../statistics/logistic.ts'
import {
  penalisedConditionalFit,
  type MatchedValue,
  type PenalisedConditionalFit,
} from '../statistics/penalised-conditional.ts'
import { CONFIDENCE } from './at-limit.ts'
import type { CountedNight } from './nights.ts'

/** Nights after a clog that say more of the clog than of the night: left out. */
export const NIGHTS_AFTER_CLOG = 7

/**
 * Each clog against other nights of the same channel group in the same calendar month (time-stratified case-crossover;
 * Lumley and Levy 2000). What changes slowly, the season and the age of the head, cancels.
 *
 * CROSS-1 The week after a clog is left out, as a clog and as a night to compare with.
 * CROSS-2 Months with no clog, or with nothing else, say nothing.
 */
export function caseCrossover(nights: readonly (readonly CountedNight[])[]): PenalisedConditionalFit | NoFit {
  return penalisedConditionalFit(nights.flatMap(monthsWithClogs), CONFIDENCE)
}

/** Nights that do not lie in the week after a clog, whether or not that clog itself was left out. */
export function settled(nights: readonly CountedNight[]): CountedNight[] {
  let lastClogDay = -Infinity
  return nights.filter(({ day, isClog }) => {
    const isSettled = day - lastClogDay > NIGHTS_AFTER_CLOG
    if (isClog) lastClogDay = day
    return isSettled
  })
}

function monthsWithClogs(nights: readonly CountedNight[]): MatchedValue[][] {
  const own = settled(nights)
  const months = new Map<number, MatchedValue[]>()
  for (const night of own) if (night.isClog) months.set(night.month, [])
  for (const { month, value, isClog } of own) months.get(month)?.push({ value, isCase: isClog })
  return [...months.values()]
}
