import type { DisposalView } from '../api/work-api.ts'

/** A US fluid ounce in mL (NIST Handbook 44, appendix C). */
const ML_PER_FL_OZ = 29.5735295625

export function toMl(value: number, unit: string): number {
  return Math.round(unit === 'fl oz' ? value * ML_PER_FL_OZ : value)
}

export function fromMl(volumeMl: number, unit: string): number {
  return unit === 'fl oz' ? Math.round((volumeMl / ML_PER_FL_OZ) * 10) / 10 : Math.round(volumeMl)
}

/** `2026-11-28`: the day on the shop's clock, as a date field takes it. */
export function dateOf(atMs: number, timeZone: string): string {
  const parts = new Intl.DateTimeFormat('en-CA', {
    timeZone,
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
  })
  return parts.format(atMs)
}

/** Noon of a day (`2026-11-28`) on the shop's clock: no clock change is at noon. */
export function noonOf(date: string, timeZone: string): number {
  const noonUtcMs = Date.parse(`${date}T12:00:00Z`)
  // Zones lie up to 14 hours from UTC: the offset is taken again where the first guess falls.
  const guessMs = noonUtcMs - offsetMs(noonUtcMs, timeZone)
  return noonUtcMs - offsetMs(guessMs, timeZone)
}

/** How far the shop's clock is ahead of UTC, in ms. */
export function offsetMs(atMs: number, timeZone: string): number {
  const wholeMinuteMs = atMs - (atMs % 60_000)
  const shown = new Intl.DateTimeFormat('sv-SE', { timeZone, dateStyle: 'short', timeStyle: 'short' })
  return Date.parse(`${shown.format(wholeMinuteMs).replace(' ', 'T')}:00Z`) - wholeMinuteMs
}

/** `28 November 2026`. */
export function dayText(atMs: number, timeZone: string): string {
  const format = new Intl.DateTimeFormat('en-GB', {
    timeZone,
    day: 'numeric',
    month: 'long',
    year: 'numeric',
  })
  return format.format(atMs)
}

/** `November 2026`, of `2026-11`. */
export function monthText(month: string): string {
  const format = new Intl.DateTimeFormat('en-GB', { timeZone: 'UTC', month: 'long', year: 'numeric' })
  return format.format(Date.parse(`${month}-15T00:00:00Z`))
}

/** Of one version of an entry: what it said. */
export function entryWords(
  { volumeMl, toWhom, disposedMs, note }: Pick<DisposalView, 'volumeMl' | 'toWhom' | 'disposedMs' | 'note'>,
  { unit, timeZone }: { unit: string; timeZone: string },
): string {
  const said = `${fromMl(volumeMl, unit)} ${unit} to ${toWhom}, ${dayText(disposedMs, timeZone)}`
  return note === '' ? said : `${said}, "${note}"`
}

/** `2026-11`: the month on the shop's clock. */
export function monthOf(atMs: number, timeZone: string): string {
  const parts = new Intl.DateTimeFormat('en-CA', { timeZone, year: 'numeric', month: '2-digit' })
  return parts.format(atMs).slice(0, 7)
}

/** Volume by month, the last month first. */
export function totalsByMonth(
  disposals: readonly Pick<DisposalView, 'disposedMs' | 'volumeMl'>[],
  timeZone: string,
): readonly { readonly month: string; readonly volumeMl: number }[] {
  const totals = new Map<string, number>()
  for (const { disposedMs, volumeMl } of disposals) {
    const month = monthOf(disposedMs, timeZone)
    totals.set(month, (totals.get(month) ?? 0) + volumeMl)
  }
  return [...totals]
    .map(([month, volumeMl]) => ({ month, volumeMl }))
    .sort((a, b) => (a.month < b.month ? 1 : -1))
}

/** Said where the log is longer than what a page shows. */
export function notAllWords(shown: number): string {
  return `Only the newest ${shown.toLocaleString('en')} entries are shown and added up here. The table (CSV) holds all.`
}
