import type { DisposalView } from '../api/work-api.ts'

/** A US fluid ounce in mL (NIST Handbook 44, appendix C). */
const ML_PER_FL_OZ = 29.5735295625

export function toMl(value: number, unit: string): number {
  return Math.round(unit === 'fl oz' ? value * ML_PER_FL_OZ : value)
}

export function fromMl(volumeMl: number, unit: string): number {
  return unit === 'fl oz' ? Math.round((volumeMl / ML_PER_FL_OZ) * 10) / 10 : Math.round(volumeMl)
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
