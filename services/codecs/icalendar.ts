import ical from 'ical-generator'

export const CALENDAR_CONTENT_TYPE = 'text/calendar; charset=utf-8'

export interface CalendarEntry {
  /** Stays the same as long as it is the same thing. */
  readonly id: string
  readonly title: string
  readonly text: string
  readonly fromMs: number
  readonly toMs: number
}

/**
 * A feed of entries as iCalendar (RFC 5545). Each is a VEVENT that does not block the time of whoever looks: many
 * calendars show no VTODO. Lines are at most 75 octets long, and never cut within a character.
 */
export function toICalendar(
  name: string,
  entries: readonly CalendarEntry[],
  { nowMs, everyMs }: { nowMs: number; everyMs: number },
): string {
  const calendar = ical({
    name,
    prodId: { company: 'nightcap', product: 'tasks', language: 'EN' },
    ttl: Math.round(everyMs / 1000),
  })
  for (const { id, title, text, fromMs, toMs } of entries) {
    calendar.createEvent({
      id,
      start: new Date(fromMs),
      end: new Date(toMs),
      stamp: new Date(nowMs),
      summary: title,
      description: text,
      transparency: 'TRANSPARENT' as never,
    })
  }
  const whole = calendar.toString()
  return whole.endsWith('\r\n') ? whole : `${whole}\r\n`
}
