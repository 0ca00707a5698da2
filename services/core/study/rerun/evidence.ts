import { Temporal } from 'temporal-polyfill'
import { durationText } from '../../model/clock-text.ts'
import type { LimitChoice, RerunOrder, RerunOutcome } from '../../model/rerun.ts'
import { tidy } from './limit-choices.ts'

/** What speaks for a value, in figures: kept beside the change in the history of the settings. */
export function evidenceOf({
  choice,
  order,
  timeZone,
  today,
  tried,
}: {
  choice: LimitChoice
  order: RerunOrder
  timeZone: string
  today: RerunOutcome
  tried: RerunOutcome
}): string {
  const date = (ms: number): string =>
    Temporal.Instant.fromEpochMilliseconds(ms).toZonedDateTimeISO(timeZone).toPlainDate().toString()
  const of = (what: (outcome: RerunOutcome) => number | string): string =>
    `${what(tried)} instead of ${what(today)}`
  const alarms = (o: RerunOutcome): number => o.alarms.reduce((sum, { count }) => sum + count, 0)
  const warned = (o: RerunOutcome): number => o.clogs.filter((c) => c.warnedMs !== null).length
  const lead = (o: RerunOutcome): string => (o.medianLeadMs === null ? 'none' : durationText(o.medianLeadMs))
  return [
    `Re-run of ${date(order.fromMs)} to ${date(order.toMs - 1)}, ${choice.group}: ${choice.title.toLowerCase()} ${shown(tried.value, choice)} instead of ${shown(today.value, choice)}.`,
    `Clogs warned of: ${of(warned)}, of ${tried.clogs.length} (median time before: ${of(lead)}).`,
    `Nights on which somebody is called: ${of((o) => o.nightsWoken)}; for nothing, as far as checks can tell: ${of((o) => o.wokenForNothing)}.`,
    `Nights with such a trouble on record: ${of((o) => o.nightsHeld)}. Alarms in all: ${of(alarms)}.`,
  ].join(' ')
}

/** A value of the settings as people read it. */
export function shown(value: number, { per, unit }: Pick<LimitChoice, 'per' | 'unit'>): string {
  return `${tidy(value / per)} ${unit === 'degC' ? '°C' : unit}`
}
