import type { Condition } from '../../services/core/model/episode.ts'
import type { ConditionRow, Tally } from './tally.ts'

/** What the product promises, and whether it was seen to keep it. */
export interface KeptPromise {
  readonly says: string
  readonly measured: string
  readonly kept: boolean
}

const MOST_FALSE_NIGHT_CALLS = 0.1
const MOST_ERROR_PCT = 15
const COVERAGE = [0.75, 0.85] as const

/**
 * The limits were fixed before the final set was run. A promise whose number of occasions is small is judged on its
 * interval where that is what it says.
 */
export function promisesOf(tally: Tally): readonly KeptPromise[] {
  const row = (condition: Condition): ConditionRow => {
    const found = tally.rows.find((r) => r.condition === condition)
    if (!found) throw new RangeError(`no row for ${condition}`)
    return found
  }
  const noMisses = (condition: Condition, says: string): KeptPromise => {
    const { hits, misses } = row(condition)
    return {
      says,
      measured: `${misses.length} of ${hits.of} missed`,
      kept: hits.of > 0 && misses.length === 0,
    }
  }
  const power = row('powerLost')
  const [fill] = tally.forecasts
  const share = fill && fill.count > 0 ? fill.covered.count / fill.count : NaN
  return [
    noMisses('powerLost', 'no power cut of more than three minutes is missed'),
    {
      says: 'a power cut is on record within its own delay and one reporting interval',
      measured: `${power.lateHits} of ${power.hits.count} later`,
      kept: power.hits.count > 0 && power.lateHits === 0,
    },
    noMisses('bottleNear', 'no bottle near its limit is missed'),
    noMisses('bottleMissing', 'no missing bottle is missed'),
    noMisses('wasteNotArriving', 'a blocked waste line is found'),
    {
      says: 'false wake-ups stay under 0.1 a machine-month',
      measured: `${tally.falseNightCalls.perMachineMonth.toFixed(3)} (${tally.falseNightCalls.count} in ${tally.machineMonths.toFixed(0)})`,
      kept: tally.falseNightCalls.perMachineMonth < MOST_FALSE_NIGHT_CALLS,
    },
    {
      says: 'made 48 h ahead, the time to a level errs by less than 15 % of the lead in the median',
      measured: `${fill?.errorPct?.toFixed(1) ?? 'none'} % of ${fill?.count ?? 0}`,
      kept: (fill?.errorPct ?? Infinity) < MOST_ERROR_PCT,
    },
    {
      says: 'its 80 % interval holds 75 to 85 % of what came',
      measured: `${(share * 100).toFixed(1)} %`,
      kept: share >= COVERAGE[0] && share <= COVERAGE[1],
    },
    {
      says: 'swings of 15 K, bumps, hands and tubes on a scale raise nothing',
      measured: `${tally.disturbedScaleAlarms.length} alarms`,
      kept: tally.disturbedScaleAlarms.length === 0,
    },
    {
      says: 'a machine with a contact alone and unknown cleaning calls nobody for dryness while it has power',
      measured: `${tally.unknownCleaningCalls.length} calls`,
      kept: tally.unknownCleaningCalls.length === 0,
    },
  ]
}
