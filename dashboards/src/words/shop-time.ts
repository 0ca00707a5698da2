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
  if (Math.abs(nowMs - atMs) < 6 * DAY_MS)
    return `${format(timeZone, 'short', { weekday: 'short' }).format(atMs)} ${clock}`
  return `${format(timeZone, 'far', { day: 'numeric', month: 'short' }).format(atMs)} ${clock}`
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
