const MINUTE_MS = 60_000
const HOUR_MS = 3_600_000
const DAY_MS = 86_400_000
const formats = new Map<string, Intl.DateTimeFormat>()

/** A point in time as the shop's clock shows it: `22:10`. `timeZone` is an IANA name. */
export function clockTime(atMs: number, timeZone: string): string {
  return format(timeZone, 'time', { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' }).format(atMs)
}

/** `Thursday 22:10`, for the head of the page. */
export function dayAndClock(atMs: number, timeZone: string): string {
  return `${format(timeZone, 'day', { weekday: 'long' }).format(atMs)} ${clockTime(atMs, timeZone)}`
}

/** A time as near as it needs to be told: `22:10` today, `Tue 22:10` within six days, else `12 Nov 22:10`. */
export function nearTime(atMs: number, { timeZone, nowMs }: { timeZone: string; nowMs: number }): string {
  const clock = clockTime(atMs, timeZone)
  const date = format(timeZone, 'date', { year: 'numeric', month: '2-digit', day: '2-digit' })
  if (date.format(atMs) === date.format(nowMs)) return clock
  if (Math.abs(nowMs - atMs) < 6 * DAY_MS) return `${weekdayShort(atMs, timeZone)} ${clock}`
  return `${dayOfMonth(atMs, timeZone)} ${clock}`
}

/** `Tue`: the day on the shop's clock. */
export function weekdayShort(atMs: number, timeZone: string): string {
  return format(timeZone, 'short', { weekday: 'short' }).format(atMs)
}

export interface ShopNow {
  readonly timeZone: string
  readonly nowMs: number
}

/** A point ahead: `08:30` within the next twelve hours, `Mon 08:30` within six days, else `7 Dec 08:30`. */
export function dayClock(
  atMs: number,
  { timeZone, nowMs }: ShopNow,
  weekday: 'short' | 'long' = 'short',
): string {
  const clock = clockTime(atMs, timeZone)
  const aheadMs = Math.abs(atMs - nowMs)
  if (aheadMs <= DAY_MS / 2) return clock
  if (aheadMs < 6 * DAY_MS)
    return `${format(timeZone, weekday === 'short' ? 'short' : 'day', { weekday }).format(atMs)} ${clock}`
  return `${dayOfMonth(atMs, timeZone)} ${clock}`
}

/**
 * A forecast time, no finer than it can be known: to 10 minutes within two hours, to the half hour within a day, to
 * the hour beyond, to the day from six days on. Never before now.
 */
export function aboutTime(atMs: number, now: ShopNow): string {
  const aheadMs = atMs - now.nowMs
  const stepMin = aheadMs < 2 * HOUR_MS ? 10 : aheadMs < DAY_MS ? 30 : 60
  if (aheadMs >= 6 * DAY_MS) return dayOfMonth(atMs, now.timeZone)
  const { minute } = hourAndMinute(atMs, now.timeZone)
  const roundedMs = atMs + (Math.round(minute / stepMin) * stepMin - minute) * MINUTE_MS
  return dayClock(roundedMs < now.nowMs ? atMs : roundedMs, now)
}

/** `7 Dec`. */
export function dayOfMonth(atMs: number, timeZone: string): string {
  return format(timeZone, 'far', { day: 'numeric', month: 'short' }).format(atMs)
}

/** The day a night began, from its date `2026-11-25`: `Wed 25 Nov 2026`, with no comma, so that it fits in a sentence. */
export function nightDay(date: string): string {
  const form = { weekday: 'short', day: 'numeric', month: 'short', year: 'numeric' } as const
  return format('UTC', 'night', form)
    .format(Date.parse(`${date}T12:00:00Z`))
    .replace(',', '')
}

/** The hour and minute on the shop's clock, as numbers. */
export function hourAndMinute(atMs: number, timeZone: string): { hour: number; minute: number } {
  const [hour, minute] = clockTime(atMs, timeZone).split(':')
  return { hour: Number(hour), minute: Number(minute) }
}

/** How long ago, in one or two units: `3 s`, `4 min`, `2 h 5 min`, `3 days`. */
export function durationText(ms: number): string {
  const seconds = Math.max(0, Math.round(ms / 1000))
  if (seconds < 60) return `${seconds} s`
  const minutes = Math.floor(seconds / 60)
  if (minutes < 60) return `${minutes} min`
  const hours = Math.floor(minutes / 60)
  if (hours < 48) return minutes % 60 === 0 ? `${hours} h` : `${hours} h ${minutes % 60} min`
  return `${Math.floor(hours / 24)} days`
}

/** Making a format is slow and the board asks for thousands of times: each zone and form is made once. */
function format(timeZone: string, form: string, options: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
  const key = `${form}|${timeZone}`
  const known = formats.get(key)
  if (known) return known
  const made = new Intl.DateTimeFormat('en-GB', { ...options, timeZone })
  formats.set(key, made)
  return made
}
