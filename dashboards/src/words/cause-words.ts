import type { CausesView, ProposedLimit } from '../../../services/core/model/causes-view.ts'
import type { Exposure } from '../../../services/core/model/night-exposure.ts'

const NBSP = '\u00A0'

interface ExposureWords {
  readonly title: string
  /** What it is, in one sentence. */
  readonly what: string
  readonly unit: string
  /** `beyond` a limit, as in "nights with over 40". */
  readonly beyond: 'over' | 'under'
  readonly digits: number
}

export const EXPOSURE_WORDS: Readonly<Record<Exposure, ExposureWords>> = {
  doseKpaH: {
    title: 'Drying of the ink',
    what: 'What the air pulled out of the ink from closing to opening: how dry it was, times the hours, and much faster off the cap.',
    unit: 'kPa h',
    beyond: 'over',
    digits: 1,
  },
  minHumidityPct: {
    title: 'Driest air of the night',
    what: 'The lowest relative humidity of the room, as a mean over a quarter of an hour.',
    unit: '%RH',
    beyond: 'under',
    digits: 0,
  },
  hoursBelowPct: {
    title: 'Hours of dry air',
    what: 'How long the room was below your limit for dry air.',
    unit: 'h',
    beyond: 'over',
    digits: 1,
  },
  darkHours: {
    title: 'Hours without power',
    what: 'How long the machine was off: it cannot clean itself then.',
    unit: 'h',
    beyond: 'over',
    digits: 2,
  },
  uncappedHours: {
    title: 'Hours off the cap',
    what: 'How long the head was off its cap, or probably so.',
    unit: 'h',
    beyond: 'over',
    digits: 2,
  },
  cleaningsSeen: {
    title: 'Cleanings',
    what: 'How many cleanings the meter saw, or somebody logged.',
    unit: 'cleanings',
    beyond: 'under',
    digits: 0,
  },
  minTemperatureC: {
    title: 'Coldest air of the night',
    what: 'The lowest temperature of the room, as a mean over a quarter of an hour.',
    unit: '°C',
    beyond: 'under',
    digits: 1,
  },
}

export const TEST_WORDS: Readonly<Record<CausesView['tests'][number]['test'], string>> = {
  weeks: 'Whole weeks exchanged, by rank',
  weeksAtLimit: 'Whole weeks exchanged, at the limit',
  fisher: 'Two by two, all in one table (Fisher, exact)',
  pooled: 'Two by two, each channel group by itself (pooled)',
  dose: 'Curve (logistic, Firth)',
  crossover: 'Within the same month (case-crossover)',
  before: 'The days before a clog (sign flips)',
}

export const LIMIT_WORDS: Readonly<
  Record<ProposedLimit, { readonly title: string; readonly unit: string; readonly path: string }>
> = {
  airDryPct: { title: 'Dry air: told below', unit: '%RH', path: 'airDryPct.openBelow' },
  roomColdC: { title: 'Cold room: told below', unit: '°C', path: 'roomColdC.openBelow' },
  doseColourKpaH: { title: 'Drying of colour: told above', unit: 'kPa h', path: 'doseKpaH.colour' },
  doseWhiteKpaH: { title: 'Drying of white: told above', unit: 'kPa h', path: 'doseKpaH.white' },
}

export const LEFT_OUT_WORDS: Readonly<Record<keyof CausesView['counts']['checksLeftOut'], string>> = {
  tellsOnlyState:
    'made after a cleaning, or in the middle of a closed time: they tell only whether it was clear then',
  laterOfTheDay: 'later ones of the same day: the first one tells of the night',
  nothingBefore: 'the first of a head: nobody knows what was before it',
  clogBefore: 'after a clog that was not cleared yet: it is no new clog',
  tooLongUnchecked: 'after more than three nights without a check: nobody knows which night it was',
}

/** What stands where a technical term stands, in one sentence each. */
export const TERMS = {
  interval: 'Lies around the true value in 95 of 100 such studies.',
  odds: 'How many times higher the odds of a clog are; 1 is no difference.',
  p: 'How often chance alone would look at least like this, between 0 and 1.',
  corrected: 'p after paying for all the looks: who looks at many things finds something by luck.',
  weeks:
    'The results of whole weeks are laid upon the nights of other weeks, again and again; only these two tests may claim something, since nights hang together.',
  pooled: 'Each channel group is compared within itself, so that one that always clogs proves nothing.',
  midP: 'The same p with half of what was seen counted: nearer to the truth with few clogs.',
  curve: 'How probable a clog is along the scale; the band is where the curve lies with 95\u00A0%.',
  withinMonth: 'Each clog against other nights of the same head in the same month: season and age cancel.',
  matched: 'Other nights of the same channel group and month that no clog was near.',
  maxP: 'p of the best of all limits that were tried: it pays for having tried them all.',
} as const

export function valueText(value: number, exposure: Exposure): string {
  const { unit, digits } = EXPOSURE_WORDS[exposure]
  return `${plain(value, digits)}${NBSP}${unit}`
}

/** At most so many digits behind the point, and none that say nothing. */
export function plain(value: number, digits: number): string {
  return String(Number(value.toFixed(digits)))
}

export function shareText(share: number): string {
  const pct = share * 100
  return `${pct >= 10 || pct === 0 ? pct.toFixed(0) : pct.toPrecision(2)}${NBSP}%`
}

/** `0.03`, `under 0.001`; never 0, since chance can do anything. */
export function pText(p: number): string {
  if (p < 0.001) return `under${NBSP}0.001`
  return p.toFixed(p < 0.1 ? 3 : 2)
}

export function ratioText(value: number): string {
  return value >= 100 ? 'over 100' : value >= 10 ? value.toFixed(0) : Number(value.toPrecision(2)).toString()
}

/** `2.4 (1.1 to 5.2)`; an open end is said in words. */
export function oddsText({
  ratio,
  isEndless,
  low,
  high,
}: {
  readonly ratio: number | null
  readonly isEndless: boolean
  readonly low: number
  readonly high: number | null
}): string {
  if (ratio === null && !isEndless) return 'cannot be told'
  const middle = ratio === null ? 'without end' : ratioText(ratio)
  return `${middle} (${ratioText(low)} to ${high === null ? 'no end' : ratioText(high)})`
}

export function count(n: number, one: string, many = `${one}s`): string {
  return `${n} ${n === 1 ? one : many}`
}
