import { FORECASTS } from './score-shop.ts'
import type { ConditionRow, ForecastRow, RatedShare, Rate, Tally } from './tally.ts'
import type { KeptPromise } from './promises.ts'

export const BEGIN = '<!-- scorecard:begin -->'
export const END = '<!-- scorecard:end -->'

/** The scorecard as the README shows it. */
export function scoreTable(
  tally: Tally,
  promises: readonly KeptPromise[],
  { set, days }: { readonly set: string; readonly days: number },
): string {
  const { shops, machineMonths, readings, nightCalls, falseNightCalls, toldDry } = tally
  return [
    `Simulated: ${shops} shops of the ${set} set for ${days} days each after 15 calm ones, ` +
      `${machineMonths.toFixed(0)} machine-months, ${(readings / 1e6).toFixed(0)} million readings. Intervals are 95 %: ` +
      'Wilson for shares, exact Poisson for rates. A delay is what came on top of the condition’s own.',
    '',
    '| condition | occasions | found | false alarms a machine-month | delay, median | delay, 95 % |',
    '| --- | --- | --- | --- | --- | --- |',
    ...tally.rows.filter((r) => r.hits.of > 0 || r.falseAlarms.count > 0).map(conditionLine),
    '',
    `Neither due nor on record: ${tally.rows
      .filter((r) => r.hits.of === 0 && r.falseAlarms.count === 0 && !FORECASTS.includes(r.condition))
      .map((r) => r.condition)
      .join(', ')}.`,
    '',
    '| forecast | times | lead, median | median error, of the lead | within the 80 % interval |',
    '| --- | --- | --- | --- | --- |',
    ...tally.forecasts.map(forecastLine),
    '',
    `Of inks that were told with 80 % or more to dry before opening, and whose power stayed off, ${shareText(toldDry)} did. ` +
      `At night somebody was called ${nightCalls} times; false were ${rateText(falseNightCalls)} a machine-month.`,
    '',
    '| promise | measured | kept |',
    '| --- | --- | --- |',
    ...promises.map((p) => `| ${p.says} | ${p.measured} | ${p.kept ? 'yes' : '**no**'} |`),
  ].join('\n')
}

/** Puts the table between its marks. @throws {RangeError} if the text has no such marks. */
export function withTable(text: string, table: string): string {
  const from = text.indexOf(BEGIN)
  const to = text.indexOf(END)
  if (from < 0 || to < from) throw new RangeError(`the text must hold ${BEGIN} and after it ${END}`)
  return `${text.slice(0, from + BEGIN.length)}\n\n${table}\n\n${text.slice(to)}`
}

function conditionLine({ condition, hits, falseAlarms, medianDelayMs, lateDelayMs }: ConditionRow): string {
  const cells = [
    condition,
    String(hits.of),
    hits.of === 0 ? '' : shareText(hits),
    rateText(falseAlarms),
    delayText(medianDelayMs),
    delayText(lateDelayMs),
  ]
  return `| ${cells.join(' | ')} |`
}

function forecastLine({ title, count, medianLeadMs, errorPct, covered }: ForecastRow): string {
  const lead = medianLeadMs === null ? '' : `${(medianLeadMs / 3_600_000).toFixed(1)} h`
  const error = errorPct === null ? '' : Number.isFinite(errorPct) ? `${errorPct.toFixed(1)} %` : 'none said'
  return `| ${title} | ${count} | ${lead} | ${error} | ${count === 0 ? '' : shareText(covered)} |`
}

function shareText({ count, of, interval: { low, high } }: RatedShare): string {
  const pct = (share: number): string => `${(share * 100).toFixed(1)}`
  return of === 0 ? 'none' : `${count} of ${of}, ${pct(count / of)} % (${pct(low)} to ${pct(high)})`
}

function rateText({ count, perMachineMonth, interval: { low, high } }: Rate): string {
  return `${perMachineMonth.toFixed(3)} (${count}; ${low.toFixed(3)} to ${high.toFixed(3)})`
}

function delayText(delayMs: number | null): string {
  if (delayMs === null) return ''
  if (delayMs < 90_000) return `${Math.round(delayMs / 1000)} s`
  return delayMs < 5_400_000 ? `${Math.round(delayMs / 60_000)} min` : `${(delayMs / 3_600_000).toFixed(1)} h`
}
