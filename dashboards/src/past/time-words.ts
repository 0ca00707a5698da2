import { clockTime } from '../words/shop-time.ts'
import type { PastWindow } from './window.ts'

const formats = new Map<string, Intl.DateTimeFormat>()

/** `Tue 3 Mar 2026`: the day on the shop's clock. */
export function dayWords(atMs: number, timeZone: string): string {
  const known = formats.get(timeZone)
  const format =
    known ??
    new Intl.DateTimeFormat('en-GB', {
      timeZone,
      weekday: 'short',
      day: 'numeric',
      month: 'short',
      year: 'numeric',
    })
  if (!known) formats.set(timeZone, format)
  return format.format(atMs).replace(',', '')
}

/** `Tue 3 Mar 2026, 02:10`. */
export function dayAndTime(atMs: number, timeZone: string): string {
  return `${dayWords(atMs, timeZone)}, ${clockTime(atMs, timeZone)}`
}

/** `Tue 3 Mar, 02:10`: where the headline tells the year. */
export function shortTime(atMs: number, timeZone: string): string {
  return `${dayWords(atMs, timeZone).replace(/ \d{4}$/, '')}, ${clockTime(atMs, timeZone)}`
}

/** What a window reaches over, as a headline; of months only the days. */
export function windowWords({ fromMs, toMs }: PastWindow, timeZone: string): string {
  const [from, to] = [dayWords(fromMs, timeZone), dayWords(toMs, timeZone)]
  if (toMs - fromMs > 45 * 86_400_000) return `${from} to ${to}`
  if (from === to) return `${from}, ${clockTime(fromMs, timeZone)} to ${clockTime(toMs, timeZone)}`
  return `${from}, ${clockTime(fromMs, timeZone)} to ${to}, ${clockTime(toMs, timeZone)}`
}

/** How wide a stretch is: `10 s`, `2 min`, `6 h`, `1 day`. */
export function widthWords(widthMs: number): string {
  if (widthMs < 60_000) return `${widthMs / 1000}\u00A0s`
  if (widthMs < 3_600_000) return `${widthMs / 60_000}\u00A0min`
  if (widthMs < 86_400_000) return `${widthMs / 3_600_000}\u00A0h`
  return widthMs === 86_400_000 ? '1\u00A0day' : `${widthMs / 86_400_000}\u00A0days`
}
