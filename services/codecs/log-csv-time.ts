import { Temporal } from 'temporal-polyfill'
import { ENTRY_AHEAD_MS, OLDEST_ENTRY_MS } from '../core/model/log-entry.ts'
import type { Settings } from '../core/model/settings.ts'
import type { CsvRow } from './csv-reading.ts'
import { RowError, shown, type LogFileContext } from './log-csv-cells.ts'

const TIME =
  /^(?<day>\d{4}-\d{2}-\d{2})(?:[T ](?<time>\d{1,2}:\d{2}(?::\d{2}(?:\.\d{1,3})?)?)(?<zone>Z|[+-]\d{2}:\d{2})?)?$/

/** Follows IMPORT-3: the time in the column `name`, or in `name` with `_utc` behind it. @throws {RowError} */
export function timeOf(row: CsvRow, name: string, { settings, nowMs }: LogFileContext): number {
  const inUtc = row.cell(`${name}_utc`)
  const field = inUtc === '' ? name : `${name}_utc`
  const text = row.cell(field)
  const { day, time, zone } = TIME.exec(text)?.groups ?? {}
  const atMs =
    day === undefined ? null : instantOf({ day, time, zone: zone ?? (inUtc === '' ? null : 'Z') }, settings)
  if (atMs === null)
    throw new RowError(field, `${shown(text)} cannot be read as a time: write it as 2026-03-14 07:30`)
  if (atMs > nowMs + ENTRY_AHEAD_MS) throw new RowError(field, `${text} lies in the future: check the date`)
  if (atMs < nowMs - OLDEST_ENTRY_MS)
    throw new RowError(field, `${text} lies more than 10 years back: check the year, or take the line out`)
  return atMs
}

function instantOf(
  { day, time = '12:00', zone }: { day: string; time: string | undefined; zone: string | null },
  { site }: Settings,
): number | null {
  try {
    const clock = Temporal.PlainDateTime.from(`${day}T${time.padStart(5, '0').replace(/^(\d):/, '0$1:')}`)
    if (zone === null) return clock.toZonedDateTime(site.timeZone).epochMilliseconds
    return Temporal.Instant.from(`${clock.toString()}${zone}`).epochMilliseconds
  } catch (error) {
    if (error instanceof RangeError) return null
    throw error
  }
}
