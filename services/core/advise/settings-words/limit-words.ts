import type { Limits } from '../../model/settings.ts'

/** How a limit is told to people; the value itself stays in the settings in its own unit. */
export interface LimitWords {
  /** Where it stands in `settings.limits`, its parts joined by dots: `airDryPct.openBelow`. */
  readonly path: string
  /** The condition or subject it belongs to. */
  readonly group: string
  readonly label: string
  /** What follows from it, in one plain sentence. */
  readonly meaning: string
  /** The unit in which it is shown and typed; empty for a bare number. */
  readonly unit: string
  /** What one shown unit is in the stored one: 60,000 for minutes that are kept in ms. */
  readonly factor: number
}

const MIN = { unit: 'min', factor: 60_000 }
const HOUR = { unit: 'h', factor: 3_600_000 }
const plain = (unit: string) => ({ unit, factor: 1 })
const NO_UNIT = plain('')
const SHARE = { unit: '%', factor: 0.01 }

type Row = readonly [path: string, label: string, meaning: string, { unit: string; factor: number }]

/**
 * Every limit in words, in the order in which the page shows them.
 *
 * LIMIT-WORDS-1 each number in `settings.limits` stands here once.
 */
export const LIMIT_WORDS: readonly LimitWords[] = [
  ...group('Dry air', low('airDryPct', 'dry air', '%RH')),
  ...group('Very dry air', low('airVeryDryPct', 'very dry air', '%RH')),
  ...group('Damp air', high('airDampPct', 'damp air', '%RH')),
  ...group('Cold room', low('roomColdC', 'a cold room', '°C')),
  ...group('Warm room', high('roomWarmC', 'a warm room', '°C')),
  ...group('Ink that dries', [
    ['doseKpaH.colour', 'Drying limit of colour ink', 'Colour ink that has gathered this dose of dry air since it was last wetted counts as drying.', plain('kPa h')],
    ['doseKpaH.white', 'Drying limit of white ink', 'White ink that has gathered this dose of dry air since it was last wetted counts as drying.', plain('kPa h')],
    ['exposureFactor.capped', 'Dryness under the cap', 'How much faster than in still capped air the dose grows while the head is capped.', NO_UNIT],
    ['exposureFactor.uncapped', 'Dryness off the cap', 'How much faster than in still capped air the dose grows while the head is off its cap.', NO_UNIT],
    ['partialCleaningKeeps', 'A partial cleaning leaves', 'This share of the drying dose is still counted after a short cleaning.', SHARE],
    ['notCleaningIntervals', 'Self-cleaning is missed after', 'So many of its usual intervals without a cleaning, and the board says that the machine does not clean itself.', plain('intervals')],
    ['idleMs', 'Idle too long after', 'A machine that has wetted no ink for so long is on the list.', HOUR],
    ['servicingMs', 'Work on a machine lasts', 'After somebody said that they work on it, the question whether the head is still uncapped comes after this long.', MIN],
  ]),
  ...group('Bottle', [
    ...high('bottleNearPct', 'bottle nearly full', '%'),
    ...high('bottleFullPct', 'bottle full', '%'),
    ['bottleMissing.closedMs', 'Bottle missing, while closed', 'An empty scale is told after this long while the shop is closed.', MIN],
    ['bottleMissing.openMs', 'Bottle missing, while open', 'An empty scale is told after this long while the shop is open.', MIN],
    ['bottleLosing.gramsPerHour', 'Losing weight, in an hour', 'A bottle that loses this much in an hour may leak.', plain('g')],
    ['bottleLosing.gramsPerDay', 'Losing weight, in a day', 'A bottle that loses this much in a day may leak.', plain('g')],
    ['wasteOwed.grams', 'Waste that did not arrive', 'At least this much waste must be owed before the waste line is doubted.', plain('g')],
    ['wasteOwed.sigmas', 'Waste that did not arrive, against the scale', 'And so many times what the scale wavers by itself.', NO_UNIT],
  ]),
  ...group('Power', [
    ['powerOff.closedMs', 'Machine off, while closed', 'A machine without power is on record after this long while the shop is closed.', MIN],
    ['powerOff.openMs', 'Machine off, while open', 'A machine without power is on record after this long while the shop is open.', MIN],
    ['powerOff.uncappedMs', 'Told at night, head probably off its cap', 'Somebody is told after this long when the power went while the head was probably off its cap.', MIN],
    ['powerOff.toldMs', 'Told at night, ink will not last', 'Somebody is told after this long when the ink would pass its limit before opening.', MIN],
    ['flickering.times', 'Power that comes and goes, times', 'So many losses of power within the time below are power that comes and goes.', plain('times')],
    ['flickering.withinMs', 'Power that comes and goes, within', 'The time within which those losses are counted.', MIN],
    ['outageHoldMs', 'One outage', 'Machines that lose power within this time of each other are one outage.', MIN],
  ]),
  ...group('Forecasts', [
    ['forecast.listProbability', 'On the list from', 'A trouble ahead that is at least so probable is on the list.', SHARE],
    ['forecast.wakeProbability', 'Wakes somebody from', 'A trouble ahead that is at least so probable may wake somebody.', SHARE],
  ]),
  ...group('Silent sensors', [
    ['silent.intervals', 'Missed readings', 'A sensor is silent after so many readings that it promised did not come.', plain('readings')],
    ['silent.atLeastMs', 'But not before', 'However often it reports, it is not called silent sooner than this.', MIN],
    ['trust.clockAhead.times', 'Clock ahead, messages', 'A node whose clock is wrong: so many messages from the future within the time below.', plain('messages')],
    ['trust.clockAhead.withinMs', 'Clock ahead, within', 'The time within which those messages are counted.', MIN],
    ['trust.readingsMissing.forMs', 'Messages missing for', 'Messages of a node that did not come, not late either, are told after this long.', MIN],
    ['trust.readingsMissing.lostAfterMs', 'Messages lost after', 'Without another one missing for so long, they are counted as lost and no longer waited for.', HOUR],
  ]),
  ...group('Humidity sensors that are believed', trustOf('humidity', { name: 'humidity', unit: '%RH', suffix: 'Pct', slope: '%RH a minute' })),
  ...group('Temperature sensors that are believed', trustOf('temperature', { name: 'temperature', unit: '°C', suffix: 'K', slope: 'K a minute' })),
  ...group('All sensors that are believed', [
    ['trust.mass.fineStepKg', 'Scale, finest step', 'A scale that rounds more than this is never called stuck.', plain('kg')],
    ['trust.mass.stillMs', 'Scale, stuck after', 'A fine scale that has not changed for so long is stuck.', HOUR],
    ['trust.stillReadings', 'Equal readings needed', 'Fewer equal readings than this prove nothing, however far apart.', plain('readings')],
    ['trust.bad.readings', 'Not believed after bad readings', 'So many impossible readings, and a sensor is no longer believed.', plain('readings')],
    ['trust.bad.overMs', 'Bad readings over at least', 'They must be spread over at least this long.', MIN],
    ['trust.bad.gapMs', 'Bad readings no further apart than', 'One that comes later than this after the last begins a new count.', MIN],
    ['trust.good.readings', 'Believed again after good readings', 'So many good readings in a row, and it is believed again.', plain('readings')],
    ['trust.good.atLeastMs', 'Good for at least', 'It must have been good for at least this long.', MIN],
    ['trust.good.atMostMs', 'Good for at most', 'Longer than this it is never asked to be good.', HOUR],
    ['trust.apart.forMs', 'Out of step after', 'Two sensors of one room that differ at the limit for so long are out of step; sooner when further apart.', HOUR],
    ['trust.apart.backMs', 'In step again after', 'They are in step again after so long.', HOUR],
    ['trust.apart.outdoorsTimes', 'Apart outdoors', 'Sun, rain and walls may part two sensors outdoors by so many times more.', plain('times')],
  ]),
] // prettier-ignore

const BY_PATH = new Map(LIMIT_WORDS.map((words) => [words.path, words]))

/** The words of a limit; one without words of its own is told by its place in the settings. */
export function limitWordsOf(path: string): LimitWords {
  const inMs = path.endsWith('Ms')
  return (
    BY_PATH.get(path) ?? {
      path,
      group: 'Others',
      label: path.replaceAll('.', ', '),
      meaning: '',
      ...(inMs ? MIN : NO_UNIT),
    }
  )
}

/** Every number in the limits with its path, in the order of the settings. */
export function limitLeaves(limits: Limits): readonly { readonly path: string; readonly value: number }[] {
  return leavesOf(limits, '')
}

/** A stored limit as it is shown: `10 min`, `40 %RH`. */
export function limitText(path: string, value: number): string {
  const { unit, factor } = limitWordsOf(path)
  const shown = String(Number((value / factor).toPrecision(6)))
  return unit === '' ? shown : `${shown} ${unit}`
}

function leavesOf(value: unknown, path: string): { path: string; value: number }[] {
  if (typeof value === 'number') return [{ path, value }]
  if (typeof value !== 'object' || value === null) return []
  return Object.entries(value).flatMap(([key, inner]) =>
    leavesOf(inner, path === '' ? key : `${path}.${key}`),
  )
}

function group(title: string, rows: readonly Row[]): LimitWords[] {
  return rows.map(([path, label, meaning, unit]) => ({ path, group: title, label, meaning, ...unit }))
}

function low(path: string, name: string, unit: string): Row[] {
  return [
    [`${path}.openBelow`, 'Told below', `Below this the board says ${name}.`, plain(unit)],
    [`${path}.closeAbove`, 'Well again above', `Above this ${name} is over; between the two it stays as it was.`, plain(unit)],
    [`${path}.onDelayMs`, 'Told after', 'It must last this long before it is on record.', MIN],
    [`${path}.offDelayMs`, 'Over after', 'It must be well for this long before it is over.', MIN],
  ] // prettier-ignore
}

function high(path: string, name: string, unit: string): Row[] {
  return [
    [`${path}.openAbove`, `Told above (${name})`, `Above this the board says ${name}.`, plain(unit)],
    [`${path}.closeBelow`, `Well again below (${name})`, `Below this ${name} is over; between the two it stays as it was.`, plain(unit)],
    [`${path}.onDelayMs`, `Told after (${name})`, 'It must last this long before it is on record.', MIN],
    [`${path}.offDelayMs`, `Over after (${name})`, 'It must be well for this long before it is over.', MIN],
  ] // prettier-ignore
}

function trustOf(
  of: 'humidity' | 'temperature',
  { name, unit, suffix, slope }: { name: string; unit: string; suffix: string; slope: string },
): Row[] {
  const edge = of === 'humidity' ? 'Pct' : 'C'
  const at = `trust.${of}`
  const apart = of === 'humidity' ? '%RH' : 'K'
  return [
    [`${at}.lowest${edge}`, 'Lowest believed', `No room has a lower ${name}: a reading below is the sensor's fault.`, plain(unit)],
    [`${at}.highest${edge}`, 'Highest believed', `No room has a higher ${name}: a reading above is the sensor's fault.`, plain(unit)],
    ...(of === 'humidity'
      ? ([[`${at}.outdoorsHighestPct`, 'Highest believed outdoors', 'Air outside may be saturated.', plain(unit)]] satisfies Row[])
      : []),
    [`${at}.jump${suffix}`, 'Largest step', `Two readings that follow each other differ by no more than this, and by the next line for each minute between.`, plain(apart)],
    [`${at}.slope${suffix}PerMin`, 'Largest change a minute', `So much ${name} may change in a minute.`, plain(slope)],
    [`${at}.fineStep${suffix}`, 'Finest step', 'A sensor that tells steps as small as this flickers all day; one that rounds more may stand still.', plain(apart)],
    [`${at}.stillMs`, 'Stuck after', 'A fine sensor that has not changed for so long is stuck.', HOUR],
    [`${at}.coarseStillMs`, 'Stuck after, if it rounds', 'One that rounds more, or stands outdoors, is stuck after so long.', HOUR],
    [`${at}.apart${suffix}`, 'Apart', 'Two sensors of one room may differ by so much.', plain(apart)],
  ] // prettier-ignore
}
