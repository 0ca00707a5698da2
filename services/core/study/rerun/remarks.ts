import { Temporal } from 'temporal-polyfill'
import type { Past } from '../../model/ports/past.ts'
import type { RerunOrder } from '../../model/rerun.ts'
import { limitChoice } from './limit-choices.ts'
import { MINUTE_TOLERANCE } from './minute-tolerance.ts'
import type { RerunSpan } from './rerun.ts'

/** What whoever reads a re-run must know of how far it can be trusted, in sentences. */
export function rerunRemarks(
  past: Past,
  { span, order, todayValue }: { span: RerunSpan; order: RerunOrder; todayValue: number },
): string[] {
  const { fromMs, toMs, sinceMs, minutesUntilMs } = span
  const remarks: string[] = []
  const held = past.settingsWithin(span)
  const settings = held.at(-1)?.settings
  const date = (ms: number): string =>
    Temporal.Instant.fromEpochMilliseconds(Math.floor(ms))
      .toZonedDateTimeISO(settings?.site.timeZone ?? 'UTC')
      .toPlainDate()
      .toString()
  if (fromMs > order.fromMs) remarks.push(`The record begins on ${date(fromMs)}, and so does this re-run.`)
  else if (sinceMs > fromMs - 1)
    remarks.push(
      'The record begins with this period, so how dry each head was at its beginning is not known.',
    )
  if (minutesUntilMs > sinceMs) {
    const until = minutesUntilMs >= toMs ? '' : ` before ${date(minutesUntilMs)}`
    const why =
      order.grain === 'minutes' ? 'You chose' : 'Readings are kept for 13 months; older than that there are'
    remarks.push(
      `${why} one-minute records${until}: of each minute its last reading. In our own measurement ${MINUTE_TOLERANCE.words}.`,
    )
  }
  if (held.some((i) => limitChoice(order.limit, i.settings)?.todayValue !== todayValue))
    remarks.push(
      "Within this period the limit itself stood at another value for a time, or for all of it. So what is on record differs from the re-run with today's value.",
    )
  if (settings && settings.contacts.length === 0)
    remarks.push(
      'Nobody is named to be called: nights are counted as if one person could be called at any hour.',
    )
  return remarks
}
