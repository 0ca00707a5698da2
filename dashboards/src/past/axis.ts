import type uPlot from 'uplot'

const MIN = 60_000
const HOUR = 60 * MIN
const DAY = 24 * HOUR

/** Steps between marks of the time axis; days and more are walked on the shop's calendar by uPlot itself. */
export const AXIS_STEPS_MS: number[] = [
  MIN, 2 * MIN, 5 * MIN, 10 * MIN, 15 * MIN, 30 * MIN,
  HOUR, 2 * HOUR, 3 * HOUR, 6 * HOUR, 12 * HOUR,
  DAY, 2 * DAY, 3 * DAY, 7 * DAY, 14 * DAY,
  30 * DAY, 60 * DAY, 90 * DAY, 180 * DAY, 365 * DAY, 730 * DAY, 1825 * DAY,
] // prettier-ignore

/**
 * How marks are written, by the step between them: the form for most, then where the year, the month or the day begins
 * anew. The shop's own order and its 24 hours, whatever the browser's tongue.
 */
export const AXIS_FORMS: uPlot.Axis.Values = [
  [365 * DAY, '{YYYY}', null, null, null, null, null, null, 1],
  [28 * DAY, '{MMM}', '\n{YYYY}', null, null, null, null, null, 1],
  [DAY, '{D} {MMM}', '\n{YYYY}', null, null, null, null, null, 1],
  [MIN, '{HH}:{mm}', '\n{WWW} {D} {MMM}', null, '\n{WWW} {D} {MMM}', null, null, null, 1],
]
